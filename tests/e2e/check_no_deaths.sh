#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Weather explains only part of what piglets die of: no answer of any question or piece predicts a death. Words of dying may stand
# only in a sentence that denies it and in what was recorded (born dead).
set -u
mkdir -p "$LEENEST_SCRATCH"
farm=$LEENEST_SCRATCH/no_deaths.farm said=$LEENEST_SCRATCH/no_deaths.txt
rm -f "$farm" "$farm-journal" "$said"
"$LEENEST" demo --to "$farm" >/dev/null || exit 1

ask() { "$LEENEST" "$@" >>"$said" 2>&1 || { echo "leenest $*: exit $?"; exit 1; }; }
for how in --width=400 --json; do
    for question in tonight due shelters where weather round calendar; do
        ask --farm "$farm" $question $how
    done
    for sow in Bramble Sedge Campion Clover Betony Tansy Vetch; do
        ask --farm "$farm" sow $sow $how
    done
    for shelter in open lee hut barn; do   # -30 to 38 C
        for temp in -30C -8C 4C 38C; do
            ask reckon nest --shelter $shelter --temp $temp --wind 20mph $how
        done
    done
    ask reckon piglet --temp -20C --draught 4mps $how
    ask reckon piglet --temp 22.8C $how
    ask reckon due --service 2026-01-01 --at 2026-04-25T18:00 $how
    ask reckon due --service 2026-01-01 --scan 2026-01-30=negative --at 2026-05-10T18:00 $how
done

bad() {
    sed -E 's/never a count of deaths//; s/[0-9]+ dead[;,.]//; s/"born_dead": ?[-0-9a-z]+//' |
        grep -inE '(^|[^a-z])(die[sd]?|dying|dead|deaths?|mortality|surviv[a-z]*|perish[a-z]*|stillbirths?|stillborn)([^a-z]|$)'
}
echo 'three in ten of them die' | bad >/dev/null || { echo 'the check itself sees nothing'; exit 1; }
lines=$(wc -l <"$said")
[ "$lines" -gt 3000 ] || { echo "only $lines lines were said"; exit 1; }
if bad <"$said"; then
    echo 'a death is spoken of'
    exit 1
fi
echo "$lines lines of answers predict no death"
