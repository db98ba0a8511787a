#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Which file `leenest demo` makes: that of --to, else that of --farm, else larkmoor.leenest; never the one of $LEENEST_FARM,
# which is somebody's own, and never over a file that is there.
. tests/doors/steps.sh

there() { steps=$((steps + 1)); [ -s "$1" ] || fell "there is no $1"; }
none() { steps=$((steps + 1)); [ ! -e "$1" ] || fell "there is a $1"; }

good 'Made before.farm: Larkmoor' --farm before.farm demo
there before.farm
none larkmoor.leenest
good 'Larkmoor' --farm before.farm tonight
good 'Made after.farm' demo --farm after.farm
there after.farm
good 'Made to.farm' demo --to to.farm
there to.farm
good 'Made both.farm' --farm both.farm demo --to both.farm
bad 2 'name two files' --farm one.farm demo --to two.farm
none one.farm
none two.farm
bad 2 'is there already' --farm before.farm demo
LEENEST_FARM=own.farm
export LEENEST_FARM
good 'Made larkmoor.leenest' demo
there larkmoor.leenest
none own.farm
steps_end
