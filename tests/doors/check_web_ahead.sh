#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The first page's question is put before anybody asks, and stays answered while who comes in is written down: when the
# page asks, next to nothing is read from the farm file any more (bytes read, by the system's own count).
. tests/doors/steps.sh
. "$project/tests/doors/serve_steps.sh"
good '' demo --to farm.leenest
export LEENEST_FARM=farm.leenest

has_read() { awk '/^rchar/ { print $2 }' "/proc/$server/io"; }
at_rest() { # until half a second went by without a byte read
    before=-1
    i=0
    while [ "$before" != "$(has_read)" ] && [ $i -lt 120 ]; do
        before=$(has_read)
        i=$((i + 1))
        sleep 0.5
    done
}

second=$(date +%S)
[ "${second#0}" -gt 40 ] && sleep $((61 - ${second#0})) # an answer is kept for its minute
serve_start
if [ ! -r "/proc/$server/io" ]; then
    echo 'skipped: the system does not count what a program reads'
    exit 77
fi
minute=$(($(date +%s) / 60))
at_rest
ahead=$(has_read)
post 200 'this machine' /api/session "{\"key\": \"$key\"}" -c one
get 200 '"number"' /api/number -b one
at_rest # the session is written down by now
before=$(has_read)
get 200 '"in_short"' /api/round -b one
first=$(($(has_read) - before))
steps=$((steps + 1))
if [ $(($(date +%s) / 60)) -ne "$minute" ]; then
    echo 'skipped: another minute began meanwhile' # a machine this slow
    exit 77
fi
[ "$first" -lt $((ahead / 20)) ] || fell "the first round read $first bytes; $ahead had been read before anybody asked"
echo "read before anybody asked: $ahead bytes; for the first round: $first"
serve_stop
steps_end
