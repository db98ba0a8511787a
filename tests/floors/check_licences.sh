#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every package that npm brings in, for the page or for a test, has a licence line in its lock file.
command -v node >/dev/null || { echo 'skipped: no node'; exit 77; }
look() {
    node -e '
const lock = JSON.parse(require("fs").readFileSync(process.argv[1], "utf8"));
let n = 0, bad = 0;
for (const [where, p] of Object.entries(lock.packages ?? {})) {
  if (where === "" || p.link) continue;
  n += 1;
  if (typeof p.license !== "string" || p.license.trim() === "" || /^(unlicensed|see license)/i.test(p.license)) { bad += 1; console.log(`${process.argv[1]}: ${where}: no licence line`); }
}
console.log(`${process.argv[1]}: ${n} packages, ${bad} without a licence`);
process.exit(bad || n === 0 ? 1 : 0);' "$1"
}
bad=0
for lock in ui/package-lock.json tests/ui/package-lock.json tests/witness/package-lock.json; do look $lock || bad=1; done
# the look itself: with one line taken out it falls
mkdir -p "$LEENEST_SCRATCH"
node -e '
const fs = require("fs"), lock = JSON.parse(fs.readFileSync("ui/package-lock.json", "utf8"));
delete lock.packages[Object.keys(lock.packages).find((k) => k !== "")].license;
fs.writeFileSync(process.argv[1], JSON.stringify(lock));' "$LEENEST_SCRATCH/less.json" || exit 1
look "$LEENEST_SCRATCH/less.json" | grep -q '1 without' || { echo 'a missing licence line is not noticed'; bad=1; }
exit $bad
