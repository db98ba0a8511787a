#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A server that runs makes the day's backup of itself, once; a damaged farm file gets none, and the log says so.
. tests/doors/steps.sh
. "$project/tests/doors/serve_steps.sh"
good '' demo --to farm.leenest
export LEENEST_FARM=farm.leenest

copies() { find farm.leenest.backups -name '*.leenest' 2>/dev/null | wc -l; }
until_said() {
    i=0
    while ! grep -q "$1" serve.err && [ $i -lt 150 ]; do sleep 0.1; i=$((i + 1)); done
    steps=$((steps + 1))
    grep -q "$1" serve.err || fell "the log does not say: $1"
}

serve_start
until_said "the day's backup is made"
steps=$((steps + 1))
[ "$(copies)" = 1 ] || fell "$(copies) backups, not one"
good '' list animal --farm "$(find "$PWD/farm.leenest.backups" -name '*.leenest')"
serve_stop
[ "$server_code" = 0 ] || fell "ends with $server_code"

serve_start # the newest is not a day old
sleep 7
serve_stop
steps=$((steps + 1))
[ "$(copies)" = 1 ] || fell "$(copies) backups on the same day"

rm -r farm.leenest.backups
pages=$(($(wc -c <farm.leenest) / 4096))
printf '%4096s' '' | tr ' ' '\377' | dd of=farm.leenest bs=4096 seek=$((pages * 2 / 3)) conv=notrunc 2>/dev/null
serve_start
until_said "the day's backup could not be made"
serve_stop
steps=$((steps + 1))
[ "$(copies)" = 0 ] || fell 'a damaged file counts as a backup'
steps_end
