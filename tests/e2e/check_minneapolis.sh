#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# An invented farm at 44.99 N 93.29 W under the real hourly forecast of 11 January 2024: three days of snow, the wind
# going round from west by north to north-west and rising, then -21 C. Source of the hours: US National Weather Service
# (public domain). The wanted text was read line by line against the weather and the single pieces (reckon due, nest, piglet).
set -u
here=$(dirname "$0")
. "$here/farm.sh"
needs_weather nws-hourly-MPX-45N-2024-01-11.json
new_farm minneapolis

fact farm --name 'Cattail Bend' --lat 44.99 --lon -93.29 --zone America/Chicago --units us --elevation 830ft --people 2
fact paddock --name 'River Forty' --area 4acre --lies level --drains middling --gateway-soft
fact windbreak --name 'the spruce row' --is trees --paddock 'River Forty' --height 12ft --porosity 50% --length 200ft --bearing 315
fact boar --name Burr --born 2021-05-02

# five sows and a gilt, each in another state
fact sow --name Aster --born 2020-04-11 --mass 470lb --condition 3 --litters-before 4 --mean-litter-before 7.5
fact sow --name Juniper --born 2021-03-20 --mass 440lb --condition 3 --litters-before 3 --mean-litter-before 7
fact sow --name Sumac --born 2020-10-05 --mass 455lb --condition 3 --litters-before 4 --mean-litter-before 8
fact sow --name Lupine --born 2021-06-30 --mass 430lb --condition 2.5 --litters-before 2 --mean-litter-before 6.5
fact sow --name Dogwood --born 2021-02-14 --mass 450lb --condition 3 --litters-before 3 --mean-litter-before 7
fact gilt --name Tamarack --born 2023-02-01 --mass 310lb

# four huts of three kinds; one looks into the wind, one has no straw, one stands in the yard
fact hut --name 'North hut' --wall wood --insulated --flap can-hang --mass 300lb --hands 2
fact hut --name 'Tin hut' --wall steel --flap none --mass 200lb --hands 2
fact hut --name 'Spare tin' --wall steel --flap can-hang --mass 200lb --hands 2
fact hut --name 'Blue hut' --wall plastic --flap can-hang --mass 180lb --hands 2
fact placement --shelter 'North hut' --paddock 'River Forty' --facing W --from 2024-01-04T13:00 --straw-depth 3in --bedded 2024-01-09T09:00 --straw-state dry
fact placement --shelter 'Tin hut' --paddock 'River Forty' --facing SE --from 2023-12-30T10:00 --straw-depth 8in --bedded 2024-01-08T09:00 --straw-state dry
fact placement --shelter 'Blue hut' --paddock 'River Forty' --facing SE --from 2024-01-04T14:00 --straw-depth 1in --bedded 2024-01-04T14:00 --straw-state dry
fact stock --at 2024-01-10T17:00 --straw-bales 4 --bale 40lb --flaps 1 --wall-bales 4 --people 2 --hand-minutes 45

# Aster: two services of one heat, milk in drops this morning
fact service --sow Aster --at 2023-09-18T08:00 --boar Burr --how hand
fact service --sow Aster --at 2023-09-19T08:00 --boar Burr --how hand
fact scan --sow Aster --at 2023-10-20T10:00 --result positive
fact sign --sow Aster --at 2024-01-10T16:30 --sign udder-tight
fact sign --sow Aster --at 2024-01-11T11:50 --sign milk-drops
fact look --sow Aster --at 2024-01-11T11:50 --absent nest,milk-streams
# Juniper: carries straw to a place of her own choosing
fact service --sow Juniper --at 2023-09-17T16:00 --boar Burr --how seen
fact sign --sow Juniper --at 2024-01-11T11:40 --sign udder-tight
fact placement --name 'the willow stump' --is open --paddock 'River Forty' --from 2024-01-11T11:00 --straw-depth 3in --straw-state dry
fact sign --sow Juniper --at 2024-01-11T11:40 --sign nest --arranging yes --placement 'the willow stump' --place elsewhere
# Sumac: three days off, into the worst of the cold
fact service --sow Sumac --at 2023-09-22T09:00 --boar Burr --how hand
fact scan --sow Sumac --at 2023-10-20T10:20 --result positive
fact look --sow Sumac --at 2024-01-11T11:55 --absent nest,udder-tight
# Lupine: the boar ran with her, nothing more is known
fact boar_run --boar Burr --sow Lupine --from 2023-09-25T12:00 --to 2023-11-05T12:00
# Dogwood: farrowed two days ago
fact service --sow Dogwood --at 2023-09-16T09:00 --boar Burr --how hand
fact farrowing --sow Dogwood --start 2024-01-09T03:30 --end 2024-01-09T06:00 --born-alive 7 --still 0 --placement 'Tin hut' --place hut --temper calm
# Tamarack: served late, far off
fact service --sow Tamarack --at 2023-11-20T09:00 --boar Burr --how hand

fact reading --at 2024-01-11T12:00 --temp 17F --wind 6mph --wind-from W
weather import "$weather/nws-hourly-MPX-45N-2024-01-11.json" --as forecast --issued 2024-01-11T11:00Z

wanted "$here/minneapolis.want" tonight --at 2024-01-11T12:30
