#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The first questions are answered before the farm file has been looked through; what is written waits for that, and a
# damaged file is said to be damaged.
. tests/doors/steps.sh
. "$project/tests/doors/serve_steps.sh"
good '' demo --to farm.leenest
export LEENEST_FARM=farm.leenest

digest_of() { # of the token in a cookie jar
    printf '%s=' "$(awk '/leenest_session/ { print $7 }' "$1")" | tr '_-' '/+' | base64 -d | b2sum -l 256 | cut -d' ' -f1
}
in_file() { od -An -v -tx1 farm.leenest | tr -d ' \n' | grep -q "$1"; }
enter() {
    post 200 'this machine' /api/session "{\"key\": \"$key\"}" -c "$1"
}

# ---- whole: who came in is written down by itself, soon ----
serve_start
enter one
get 200 '"number"' /api/number -b one
steps=$((steps + 1))
i=0
while ! in_file "$(digest_of one)" && [ $i -lt 50 ]; do sleep 0.1; i=$((i + 1)); done
in_file "$(digest_of one)" || fell 'the session is not in the farm file five seconds later'
get 200 '"this_one": *true' /api/devices -b one
[ "$(member device)" -gt 0 ] || fell 'the device has no number of the file'
serve_stop
serve_start # and serves after another start
get 200 '"signed_in": *true' /api/session -b one
serve_stop

# ---- whole: stopped at once after somebody came in ----
serve_start
enter two
serve_stop
steps=$((steps + 1))
in_file "$(digest_of two)" || fell 'who came in just before the end is not written down'

# ---- damaged where the first question does not read ----
cp farm.leenest whole
pages=$(($(wc -c <whole) / 4096))
printf '%4096s' '' | tr ' ' '\377' | dd of=farm.leenest bs=4096 seek=$((pages * 2 / 3)) conv=notrunc 2>/dev/null
bad 3 'damaged' list farm 2>/dev/null
serve_start
enter three
get 200 '"number"' /api/number -b three # of a page that is whole
steps=$((steps + 1))
i=0
while ! grep -q damaged serve.err && [ $i -lt 50 ]; do sleep 0.1; i=$((i + 1)); done
grep -q damaged serve.err || fell 'nothing is said about the damage five seconds later'
get 500 'damaged' /api/due -b three
steps=$((steps + 1))
in_file "$(digest_of three)" && fell 'a session was written into a damaged file'
serve_stop
[ "$server_code" -eq 0 ] || fell "it ended with $server_code"

# ---- damaged, and the first thing sent is a record: it is refused, and nothing is written ----
before=$(b2sum <farm.leenest)
serve_start
enter four
post 500 'damaged' /api/record/note '{"text": "fox at the hut"}' -b four
steps=$((steps + 1))
[ "$before" = "$(b2sum <farm.leenest)" ] || fell 'a damaged file was written to'
serve_stop
steps_end
