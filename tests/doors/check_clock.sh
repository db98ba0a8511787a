#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The machine's clock went back: both doors say so as they record, and `leenest check` does. Not the clock is moved:
# what was recorded before is put three hours ahead of it.
. tests/doors/steps.sh
. "$project/tests/doors/serve_steps.sh"
command -v sqlite3 >/dev/null || { echo 'skipped: no sqlite3 here'; exit 77; }
unset LEENEST_FARM
good 'Recorded' record farm --name Larkmoor --lat 54.62 --lon -2.41 --zone Europe/London
good 'Recorded' record note --text 'before'
lacks 'clock'
good '' check
lacks 'clock has gone back'
sqlite3 farm.leenest "UPDATE journal SET at_utc_s = $(($(date +%s) + 10800)) WHERE number = 2"
good 'clock: The clock of the farm.s machine has gone back' record note --text 'after'
has 'recorded 3$'
"$LEENEST" check >out 2>err
has 'clock has gone back'
serve_start
post 200 'this machine' /api/session "{\"key\": \"$key\"}" -c one
post 200 'machine has gone back' /api/record/note '{"fact": {"text": "by the page"}}' -b one
post 200 'machine has gone back' /api/queue '{"items": []}' -b one
serve_stop
good '"at":' due --json
good 'copy both or' help
has 'journal'
steps_end
