#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# An invented farm beside Chicago O'Hare (41.98 N 87.90 W) on the evening of 18 December 2016, the coldest of that winter: the
# real observed hours stand in for the forecast made at 16:00, the same hours up to then are the station's, and the years 2016
# and 2017 are on file as past years. Source of the hours: NOAA ISD-Lite 725300-94846 (US public domain).
# Snow on the 17th, a north-west gale that night, then a clear night to -23 C with the wind backing to the south before dawn.
set -u
here=$(dirname "$0")
. "$here/farm.sh"
winter=isdlite-725300-94846-winter-2016-17.txt
needs_weather $winter isdlite-725300-94846-2016.gz isdlite-725300-94846-2017.gz
new_farm ohare

fact farm --name 'Long Slough' --lat 41.98 --lon -87.90 --zone America/Chicago --units us --elevation 660ft --people 1
fact paddock --name 'Slough Field' --area 3acre --lies level --drains wet --gateway-soft
fact windbreak --name 'the osage hedge' --is hedge --paddock 'Slough Field' --height 10ft --porosity 40% --length 250ft --bearing W
fact boar --name Flint --born 2014-03-01

fact sow --name Sedum --born 2013-04-11 --mass 480lb --condition 3 --litters-before 4 --mean-litter-before 8
fact sow --name Bluestem --born 2013-05-20 --mass 465lb --condition 3.5 --litters-before 4 --mean-litter-before 7.5
fact sow --name Catnip --born 2014-08-05 --mass 440lb --condition 3 --litters-before 2 --mean-litter-before 7
fact sow --name Joepye --born 2014-06-30 --mass 430lb --condition 3 --litters-before 2 --mean-litter-before 7
fact sow --name Indigo --born 2013-02-14 --mass 450lb --condition 3 --litters-before 3 --mean-litter-before 6
fact gilt --name Coreopsis --born 2015-12-20 --mass 330lb --cycling yes

fact hut --name 'Ark' --wall wood --insulated --flap hung --mass 320lb --hands 2
fact hut --name 'Half round' --wall steel --flap can-hang --mass 190lb --hands 2
fact hut --name 'Old tin' --wall steel --flap none --mass 190lb --hands 2
fact hut --name 'Poly' --wall plastic --flap can-hang --mass 120lb --hands 1
fact placement --shelter Ark --paddock 'Slough Field' --facing E --from 2016-12-01T13:00 --straw-depth 8in --bedded 2016-12-14T09:00 --straw-state dry
fact placement --shelter 'Half round' --paddock 'Slough Field' --facing S --from 2016-12-01T14:00 --straw-depth 2in --bedded 2016-12-10T09:00 --straw-state dry
fact placement --shelter 'Old tin' --paddock 'Slough Field' --facing NW --from 2016-11-20T14:00 --straw-depth 3in --bedded 2016-12-03T09:00 --straw-state damp
fact placement --shelter Poly --paddock 'Slough Field' --facing SE --from 2016-12-12T14:00 --straw-depth 4in --bedded 2016-12-12T14:00 --straw-state dry
fact stock --at 2016-12-18T08:00 --straw-bales 3 --bale 40lb --flaps 1 --wall-bales 4 --people 1 --hand-minutes 45

# Sedum: nests in the Half round since midday, milk in drops
fact service --sow Sedum --at 2016-08-25T09:00 --boar Flint --how hand
fact scan --sow Sedum --at 2016-09-25T10:00 --result positive
fact sign --sow Sedum --at 2016-12-18T12:30 --sign udder-tight
fact sign --sow Sedum --at 2016-12-18T15:20 --sign milk-drops
fact sign --sow Sedum --at 2016-12-18T15:20 --sign nest --arranging yes --placement 'Half round' --place put-out
# Bluestem: two services of one heat, tight udder, no more yet
fact service --sow Bluestem --at 2016-08-25T17:00 --boar Flint --how hand
fact service --sow Bluestem --at 2016-08-26T08:00 --boar Flint --how hand
fact sign --sow Bluestem --at 2016-12-18T15:30 --sign udder-tight
fact look --sow Bluestem --at 2016-12-18T15:30 --absent nest,milk-drops,milk-streams
# Catnip: past her day, nothing to see
fact service --sow Catnip --at 2016-08-23T09:00 --boar Flint --how seen
fact look --sow Catnip --at 2016-12-18T15:35 --absent nest,udder-tight,vulva-swollen
# Joepye: weaned, the boar with her, no date
fact boar_run --boar Flint --sow Joepye --from 2016-08-20T12:00 --to 2016-10-05T12:00
fact scan --sow Joepye --at 2016-11-10T10:00 --result positive
fact sign --sow Joepye --at 2016-12-18T15:40 --sign vulva-swollen
fact look --sow Joepye --at 2016-12-18T15:40 --absent nest,udder-tight
# Indigo: farrowed last night in the Ark
fact service --sow Indigo --at 2016-08-24T09:00 --boar Flint --how hand
fact farrowing --sow Indigo --start 2016-12-18T02:10 --end 2016-12-18T05:00 --born-alive 6 --still 1 --placement Ark --place hut --temper steady
# Coreopsis: a gilt, nothing recorded

weather import "$weather/isdlite-725300-94846-2016.gz" "$weather/isdlite-725300-94846-2017.gz" --as past
weather import "$weather/$winter" --as observed
weather import "$weather/$winter" --as forecast --issued 2016-12-18T16:00-06:00 --name "O'Hare as it came"

wanted "$here/ohare.want" tonight --at 2016-12-18T16:00
