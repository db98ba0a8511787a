#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The sun by astronomy-engine and moist air by PsychroLib, against ours. Skipped (77) without node, npm or their packages.
set -u
here=tests/witness
command -v node >/dev/null && command -v npm >/dev/null || { echo 'skipped: no node or npm'; exit 77; }
program=$LEENEST_BUILD/tests/test_witness_libraries
[ -x "$program" ] || { echo "no $program: build the tests first"; exit 1; }
if [ ! -d $here/node_modules/astronomy-engine ] || [ ! -d $here/node_modules/psychrolib ]; then
    (cd $here && npm ci --ignore-scripts --no-audit --no-fund) >/dev/null 2>&1 || { echo 'skipped: npm could not install the witnesses'; exit 77; }
fi
mkdir -p "$LEENEST_SCRATCH"
node $here/sun.mjs >"$LEENEST_SCRATCH/witness.csv" && node $here/air.mjs >>"$LEENEST_SCRATCH/witness.csv" || exit 1
LEENEST_WITNESS=$LEENEST_SCRATCH/witness.csv "$program"
