#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# build.sh OUT WEB_FILES_C: fetches the page's packages when they are not there, checks types, builds the page.
set -eu
cd "$(dirname "$0")"
if [ ! -e node_modules/.package-lock.json ] || [ package-lock.json -nt node_modules/.package-lock.json ]; then
    npm ci --ignore-scripts --no-audit --no-fund --silent
fi
node node_modules/typescript/bin/tsc --noEmit
node build.mjs "$1" "$2"
