#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What docs/use/getting-started.md tells people to type works as it stands, in an empty folder, one line after the other.
set -eu
page=$PWD/docs/use/getting-started.md
rm -rf "$LEENEST_SCRATCH"
mkdir -p "$LEENEST_SCRATCH"
cd "$LEENEST_SCRATCH"
unset LEENEST_FARM || true
mkdir bin
ln -s "$LEENEST" bin/leenest
PATH=$PWD/bin:$PATH
count=0
grep '^    leenest ' "$page" | sed 's/^    //' > lines
while IFS= read -r line; do
    count=$((count + 1))
    if ! sh -c "$line" > out 2> err; then
        echo "does not work: $line" >&2
        cat err >&2
        exit 1
    fi
    [ -s out ] || { echo "says nothing: $line" >&2; exit 1; }
    if grep -q 'odd:' out; then
        echo "recorded, but odd: $line" >&2
        cat out >&2
        exit 1
    fi
done < lines
[ "$count" -ge 20 ] || { echo "only $count lines were found on the page" >&2; exit 1; }
grep -q 'Mark the litter' out && { echo 'a litter of two hours is not marked yet' >&2; exit 1; }
leenest round --at 2026-01-23T07:00 | grep -q 'Bramble has sucked\|piglet of Bramble' || { echo 'the round does not know of the litter' >&2; exit 1; }
leenest sow Bramble --at 2026-01-23T07:00 | grep -q '8 born alive, 1 dead' || { echo 'her litter is not told of' >&2; exit 1; }
echo "$count lines of the page work"

# In a farm that stands still on one evening, now is that evening: what is recorded without a time counts there.
leenest demo --to demo.farm > out
leenest --farm demo.farm record tick --prompt water-morning > out
leenest --farm demo.farm record sign --sow Bramble --sign milk-streams > out
leenest --farm demo.farm round | sed -n '/Done today:/,/^$/p' | grep -q 'Water all' || { echo 'a tick in the demo farm does not count' >&2; exit 1; }
leenest --farm demo.farm sow Bramble | grep -q 'yes milk in streams' || { echo 'a sign in the demo farm does not count' >&2; exit 1; }
echo 'recording in the demo farm works'
