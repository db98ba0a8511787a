#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A newcomer's way from an empty folder to a night sheet, and back through everything that keeps the record: every step's
# exit code and words. The days lie in a winter past, so that the same is said whenever this runs.
# Pound and mile: 0.45359237 kg and 1609.344 m exactly (international yard and pound agreement, 1959).
. tests/doors/steps.sh
unset LEENEST_FARM NO_COLOR

# ---- an empty folder ----
good 'leenest record KIND'
bad 2 'there is no farm file farm.leenest yet; begin with leenest record farm' tonight
bad 2 'begin with leenest record farm' record sow --name Bramble
bad 2 '^leenest: --name is needed' record farm
[ ! -e farm.leenest ] || fell 'a refused record leaves a farm file'
bad 2 'zone' record farm --name Hillside --lat 44.99 --lon -93.29 --zone America/Minneapolis_Hill
[ ! -e farm.leenest ] || fell 'a refused record leaves a farm file'
good '^Recorded: farm' record farm --name Hillside --lat 44.99 --lon -93.29 --zone America/Chicago --units us --declination -0.3
bad 2 'recorded already' record farm --name Again --lat 1 --lon 1 --zone UTC

# ---- nothing known yet: every question says what to record, none falls over ----
at=2024-11-26T17:00
for q in tonight shelters weather; do bad 2 'no weather is known.*leenest weather type' $q --at $at; done
good 'No sow is recorded as served' due --at $at
good 'Water all' round --at $at
good 'no weather is known' round --at $at
good 'Nothing falls due' calendar --at $at
good 'Nothing odd is open' flags
good 'Nothing is waiting' held
good 'no backup' check
good 'No weather is kept yet' weather kept
good 'Nothing recorded of this kind' list sow

# ---- weather, but no sow; then sows, but no hut ----
good '36 hours kept' weather type 'low 12F, wind SW 15 mph, rain until 21:00' --at $at
good 'typed by hand: 36 hours, 2024-11-26 17:00 to 2024-11-28 04:00' weather kept
good 'nobody is waited for' tonight --at $at
good '12 °F .*SW +15 mph' weather --at $at

# ---- animals, in the farm's units: a bare number is pounds ----
good '^Recorded: Bramble' record sow --name Bramble --mass 440 --litters-before 3
bramble=$(uid)
good '^Recorded: Tansy' record sow --name Tansy --mass 440lb
good '^Recorded: Sedge' record gilt --name Sedge --mass 180kg
good '^Recorded: Otis' record boar --name Otis
good '' list sow --csv
has "^$bramble,Bramble,.*,199\.5806428"
[ "$(grep -c ',199\.5806428' out)" -eq 2 ] || fell '440 and 440lb are not the same'
has ',180,'
good 'mass 440 lb' list sow
good '"mass_kg": 199\.5806428' list animal --json

bad 2 '^leenest: --at is needed for service: when she was served' record service --sow Bramble --boar Otis
bad 2 'did you mean Bramble' record service --sow Brambel --boar Otis --at 2024-08-03
good 'service of Bramble, 2024-08-03 09:00' record service --sow Bramble --boar Otis --at 2024-08-03T09:00
good 'service of Bramble, 2024-08-04' record service --sow Bramble --sow Tansy --boar Otis --at 2024-08-04T08:00
has 'service of Tansy, 2024-08-04'
good 'service of Sedge' record service --sow Sedge --boar Otis --at 2024-08-20
good 'Bramble may farrow|Bramble and Tansy may farrow|Tansy and Bramble' tonight --at $at

# ---- huts, where they stand, what is at hand; a hut has a --width of its own ----
good '^Recorded: North hut' record hut --name 'North hut' --length 8 --width 6 --height 4 --wall steel --floor soil --flap can-hang
good 'width 6 ft' list hut
good '"width_m": 1\.8288,' list hut --json
good '^Recorded: Low field' record paddock --name 'Low field' --lies hollow --area 2acre
good 'North hut' record placement --shelter 'North hut' --paddock 'Low field' --facing 315 --straw-depth 4 --from 2024-11-20T10:00
good '0\.1016,' list placement --csv
good '^Recorded: stock' record stock --straw-bales 20 --bale 40 --flaps 1 --people 2 --at 2024-11-25
good ',18\.1436948' list stock --csv
good '' record reading --at 2024-11-26T16:30 --temp 12 --wind 15 --wind-from 225
good ',-11\.1111' list reading --csv
has ',6\.7056,'

# ---- what is seen: several sows, several signs, several of one thing only ----
good 'look of Bramble' record look --sow Bramble --sow Tansy --at 2024-11-26T16:00 --absent nest,milk-drops
has 'look of Tansy'
good 'sign of Bramble' record sign --sow Bramble --sign vulva-swollen udder-tight --at 2024-11-26T16:00
[ "$(grep -c '^Recorded' out)" -eq 2 ] || fell 'two signs are not two records'
bad 2 'name several of one thing only' record sign --sow Bramble Tansy --sign nest straining --at 2024-11-26T16:00
bad 2 '^leenest: --sign' record sign --sow Bramble --sign singing --at 2024-11-26T16:00
bad 2 'had not farrowed' record farrowing --sow Bramble --start 2024-11-26T12:00 --born-alive 8

# ---- the questions ----
good 'TONIGHT' tonight --at $at
for w in 'TO DO' 'GETTING UP' 'SOWS, most in need first' 'Bramble' 'North hut' 'WEATHER' 'CAUTION' 'your vet come first'; do has "$w"; done
lacks 'mortality|will die|posterior|shadow price'
good 'In pig: ' due --at $at
good 'North hut' shelters --at $at
good 'Bramble may farrow' calendar --at $at
good '' calendar --at $at --ics
tr -d '\r' <out >plain.ics
[ "$(grep -c "$(printf '\r')$" out)" -eq "$(wc -l <out)" ] || fell 'a line of the calendar does not end in CRLF (RFC 5545, 3.1)'
awk 'length($0) > 75 { exit 1 }' plain.ics || fell 'a line of the calendar is longer than 75 octets (RFC 5545, 3.1)'
[ "$(grep -c '^BEGIN:VEVENT' plain.ics)" -eq "$(grep -c '^END:VEVENT' plain.ics)" ] || fell 'an event of the calendar has no end'
[ "$(grep '^UID:' plain.ics | sort | uniq -d | wc -l)" -eq 0 ] || fell 'two events of the calendar have one UID'
good '' round --at $at --csv
key=$(sed -n 's/^\(water-afternoon\).*/\1/p; s/^\(feed\),.*/\1/p' out | head -1)
good "\[ \]" round --at $at
open=$(sed -n '1s/.*, \([0-9]*\) open/\1/p' out)
bad 2 'no person is called "Mo"' record tick --prompt "$key" --at 2024-11-26T16:55 --by Mo
good '^Recorded: Mo' record person --name Mo
good '^Recorded: tick' record tick --prompt "$key" --at 2024-11-26T16:55 --by Mo
good 'Done today: ' round --at $at
[ "$(sed -n '1s/.*, \([0-9]*\) open/\1/p' out)" -eq $((open - 1)) ] || fell 'the tick does not count'

# ---- the same answer for ever: at and known-to ----
n=$(newest)
"$LEENEST" due --at $at --json --known-to "$n" >before.json
good 'taken out: tick' undo
good 'put back: tick' redo
good 'service of Tansy' record service --sow Tansy --boar Otis --at 2024-08-05T08:00
"$LEENEST" due --at $at --json --known-to "$n" >after.json
the_same before.json after.json
bad 2 'the newest change has the number' due --known-to 99999
good 'taken out: service of Tansy' undo

# ---- undo, redo, void, history ----
good '^This would change 1 record' undo --try
good '^This would change 1 record' undo --try
n=$(newest)
good '^Changed 1 record' void "$("$LEENEST" list stock --csv | sed -n '2s/,.*//p')"
good 'put back: stock' undo
good 'taken out: stock' redo
good 'put back: stock' undo
[ "$(newest)" -gt "$n" ] || fell 'undo is not in the history'
good 'would change 2 records, 1 of them because' void Sedge --try
good 'Changed 2 records, 1 of them because it rests on it' void Sedge
has 'taken out: Sedge'
has 'taken out: service of Sedge'
good '' list sow --csv
lacks ',Sedge,'
good 'put back: Sedge' undo
good ',Sedge,' list sow --csv
good 'recorded: Bramble' history Bramble
good 'number,at,what' history "$bramble" --csv
good '"what": "restored"' history --json --most 3
bad 2 'was ever recorded' history 00000000000000000000000000000000
bad 2 'nothing that stands is called "Nobody"' history Nobody
bad 2 'nothing that stands is called "Nobody"' void Nobody
bad 2 'no fact' undo 00000000000000000000000000000000

# ---- flags: odd, kept, settled ----
good 'odd: another animal is called Bramble already' record sow --name Bramble --tag 77
flag=$(sed -n 's/.*leenest settle \([0-9]*\)$/\1/p' out)
good "^ *$flag +open: .*another animal is called Bramble" flags
good '^number,key,kind,uid' flags --csv
bad 2 'are called "Bramble".*tag' record look --sow Bramble --at 2024-11-26T16:30
bad 2 'there is no flag 99999' settle 99999
good '^Settled' settle "$flag" --note 'two of that name'
good 'Nothing odd is open' flags
good 'settled: Bramble: .*two of that' flags --settled
good 'taken out: Bramble' undo

# ---- exactly once, and corrections ----
u=0123456789abcdef0123456789abcdef
good '^Recorded: Fern' record sow --name Fern --uid $u
n=$(newest)
good '^Was there already: Fern' record sow --name Fern --uid $u
[ "$(newest)" -eq "$n" ] || fell 'the same again is recorded twice'
bad 2 '^leenest: --uid: .*says something else' record sow --name Ferny --uid $u
bad 2 '^leenest: --uid: .*one record' record look --sow Fern Tansy --uid 0123456789abcdef0123456789abcdee --at 2024-11-20
bad 2 '^leenest: --uid' record sow --name Ferny --uid xyz
[ "$(newest)" -eq "$n" ] || fell 'a refusal is in the history'
good '^Recorded: Fern' record sow --name Fern --mass 300lb --corrects $u
fern=$(uid)
good "Fern; .*mass 300 lb" list sow
[ "$(grep -c '^Fern' out)" -eq 1 ] || fell 'the corrected one is still listed'
bad 2 '^leenest: --corrects' record sow --name Fern --corrects $u
bad 2 '^leenest: --corrects' record boar --name Fern --corrects nothing
good 'put back: Fern' undo
good '' list sow --csv
has "^$u,Fern"
lacks "^$fern"

# ---- CSV in: a dry run, all or nothing, the good rows ----
printf 'name,is,mass\nHazel,sow,400\nRowan,sow,heavy\nAlder,cow,300\nIvy,sow,390\n' >herd.csv
n=$(newest)
answer_no 'herd.csv, line 3, mass' import herd.csv --kind animal --try
has 'herd.csv, line 4, is'
has '2 of 4 rows are good, 2 are not; nothing was kept'
bad 2 'herd.csv, line 3, mass: .*1 more, nothing was kept' import herd.csv --kind animal
[ "$(newest)" -eq "$n" ] || fell 'a refused file is half kept'
answer_no '2 of 4 rows kept' import herd.csv --kind animal --keep-good
good ',Hazel,.*,181\.436948' list sow --csv
has ',Ivy,'
lacks ',Rowan,'
good 'taken out: Hazel' undo
has 'taken out: Ivy'
bad 2 'herd.csv' import herd.csv
bad 2 'unknown kind "anymal", did you mean animal' import herd.csv --kind anymal
bad 2 'No such file' import nowhere.csv --kind animal
printf 'name,is,weight\nHazel,sow,4\n' >column.csv
bad 2 'column.csv.*weight' import column.csv --kind animal
"$LEENEST" list service --csv >services.csv
good '0 of 4 rows kept, 4 were there already' import services.csv --kind service
printf '[{"kind":"cow","name":"Hazel"},{"kind":"animal","is":"sow","name":"Ivy"}]' >two.json
answer_no 'two.json, record 1, kind: "cow"' import two.json --try
bad 2 'two.json, record 1, kind: "cow"' import two.json
printf '[{"kind":"animal","is":"sow","name":"Hazel"},{"kind":"animal","is":"sow","name":"Ivy"}]' >two.json
good '2 of 2 rows are good' import two.json --try

# ---- everything out, in again, out again: byte for byte ----
good 'Everything is written' export --to all
good 'Everything is written' export --to all.json
bad 2 'all' export --to all
good 'new farm file' import all --farm second.leenest
good 'new farm file' import all.json --farm third.leenest
bad 2 'there already' import all --farm second.leenest
bad 2 'whole export' import all --farm fourth.leenest --try
[ ! -e fourth.leenest ] || fell 'a refused import leaves a farm file'
good '' export --to all2 --farm second.leenest
good '' export --to all2.json --farm second.leenest
good '' export --to all3.json --farm third.leenest
diff -r all all2 >/dev/null || fell 'the folder differs after the round trip'
the_same all.json all2.json
the_same all.json all3.json
"$LEENEST" tonight --at $at >first.txt
"$LEENEST" tonight --at $at --farm third.leenest >third.txt
the_same first.txt third.txt
head -c 2000 all.json >half.json
bad 2 'half.json' import half.json --farm half.leenest
[ ! -e half.leenest ] || fell 'a broken export leaves a farm file'

# ---- backup, restore, check ----
good 'Backed up, checked and sound' backup --to copies --second stick
copy=$(ls copies/*.leenest | head -1)
[ -s "$copy" ] && [ -n "$(ls stick/*.leenest)" ] || fell 'no copy in the folders named'
good '^Recorded: Yarrow' record sow --name Yarrow
good 'stands again' restore "$copy"
good '' list sow --csv
lacks ',Yarrow,'
ls | grep -q 'farm.leenest\..*' || fell 'what was there is not kept beside it'
bad 2 'not' restore herd.csv
bad 2 'nowhere' restore nowhere.leenest
good '' check
good '"grade": "(good|look)"' check --json

# ---- odd places of flags that all commands know ----
good '"facts"' --json list sow
good '"facts"' list --json sow
good '"facts"' list sow --json
good '"recorded"' record --json person --name Ash
bad 2 'exclude each other' list sow --json --csv
bad 2 'calendar' list sow --ics
bad 2 'table' backup --csv
bad 2 '^leenest: --farm needs a value' --farm
bad 2 'no farm file other.leenest' --farm other.leenest due
good '' --farm third.leenest due --at $at
LEENEST_FARM=third.leenest good '' due --at $at
bad 2 'did you mean tonight' tonite
bad 2 'did you mean fetch' weather fetsh
bad 2 'did you mean --name' record sow --nam Moss
bad 2 'did you mean service' record servise --sow Bramble
good "leenest $(sed -n 's/^project(leenest VERSION \([0-9.]*\).*/\1/p' "$project/CMakeLists.txt")" --version
good 'leenest tonight' help tonight

steps_end
