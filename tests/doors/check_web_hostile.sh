#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A hostile client leaves the web door answering others. Takes a minute: that long the server waits for the slow.
set -u
command -v node >/dev/null || { echo 'skipped: no node'; exit 77; }
mkdir -p "$LEENEST_SCRATCH"
exec node tests/doors/web_hostile.mjs
