#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every question through both doors gives the same bytes.
set -u
command -v node >/dev/null || { echo 'skipped: no node'; exit 77; }
mkdir -p "$LEENEST_SCRATCH"
exec node tests/doors/web_same.mjs
