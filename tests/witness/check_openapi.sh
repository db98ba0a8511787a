#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The API document by validators from npm. Skipped (77) without node, npm or their packages.
set -u
here=tests/witness
command -v node >/dev/null && command -v npm >/dev/null || { echo 'skipped: no node or npm'; exit 77; }
if [ ! -d $here/node_modules/@seriousme/openapi-schema-validator ] || [ ! -d $here/node_modules/ajv-formats ]; then
    (cd $here && npm ci --ignore-scripts --no-audit --no-fund) >/dev/null 2>&1 || { echo 'skipped: npm could not install the witnesses'; exit 77; }
fi
mkdir -p "$LEENEST_SCRATCH"
exec node $here/openapi.mjs
