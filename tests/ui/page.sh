#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# page.sh test_x.mjs: one browser test. 77 = skipped, said why, where there is no browser or no package from npm.
set -eu
cd "$(dirname "$0")"
[ -x "${CHROMIUM:-/usr/bin/chromium}" ] || { echo "skipped: no Chromium here"; exit 77; }
command -v node >/dev/null || { echo "skipped: no node here"; exit 77; }
if [ ! -e node_modules/.package-lock.json ] || [ package-lock.json -nt node_modules/.package-lock.json ]; then
    npm ci --ignore-scripts --no-audit --no-fund --silent || { echo "skipped: npm gives no packages"; exit 77; }
fi
# A browser on a busy machine sometimes shows a page a moment later than a test looks. What falls is run once more from nothing;
# twice is a fault. What fell once is written down, for each is a race in the test or in the page.
node "$1" && exit 0
echo "$1 fell once" | tee -a "$(dirname "${LEENEST:-.}")/fell-once.log"
exec node "$1"
