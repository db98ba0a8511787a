#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The web door's limits, one by one.
set -u
command -v node >/dev/null || { echo 'skipped: no node'; exit 77; }
mkdir -p "$LEENEST_SCRATCH"
exec node tests/doors/web_limits.mjs
