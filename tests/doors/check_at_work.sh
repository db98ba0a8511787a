#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A question that takes long counts its seconds at a terminal and wipes the line away before the answer; where standard error
# is no terminal nothing is said. The long question waits for a pedigree that comes through a pipe after three and a half seconds.
. tests/doors/steps.sh
command -v script >/dev/null || { echo 'skipped: no script(1) here'; exit 77; }
printf 'id,sire,dam\na,,\nb,,\nc,a,b\n' >ped.csv
mkfifo pipe

slowly() { (sleep 3.5; cat ped.csv) >pipe & }

slowly
"$LEENEST" reckon inbreeding pipe >silent.out 2>silent.err
steps=$((steps + 1))
[ ! -s silent.err ] || fell "said where nobody sees it: $(head -1 silent.err)"

slowly
script -qec "'$LEENEST' reckon inbreeding pipe" typed >/dev/null 2>&1
tr '\r' '\n' <typed >lines
steps=$((steps + 3))
grep -q 'reckon inbreeding: at work, 2 s' lines || fell 'a person at a terminal is not told that it is at work'
grep -q 'at work, 3 s' lines || fell 'the seconds are not counted on'
esc=$(printf '\033')
grep -q "^$esc\[K3 animals" lines || fell 'the line is not wiped away before the answer'

script -qec "'$LEENEST' reckon inbreeding ped.csv" typed >/dev/null 2>&1 # answered at once
steps=$((steps + 1))
! grep -q 'at work' typed || fell 'a quick answer is announced'
steps_end
