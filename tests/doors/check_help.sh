#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What is said about the program and how it is printed: help within 80 columns, a man page that groff takes without a warning,
# completion that bash reads and that completes, colours that keep to their rules, a line's width that holds with long names, and
# an environment (locale, time zone) that changes nothing.
. tests/doors/steps.sh
unset LEENEST_FARM NO_COLOR
at=2024-11-26T17:00
widest() { LC_ALL=C.UTF-8 wc -L <"$1"; }
# a key to be typed is not folded, so it does not count
within() {
    grep -vE '^ *[a-z-]+:[^ ]*$' out >counted
    w=$(widest counted)
    [ "$w" -le "$1" ] || fell "$2: a line of $w columns: $(LC_ALL=C.UTF-8 awk -v w="$1" 'length($0) > w' counted | head -1)"
}

# ---- help ----
good 'Questions' --help
within 80 '--help'
cp out all
good 'Kinds:' record --help
within 80 'record --help'
sed -n 's/^  \([a-z_]\{1,\}\)  .*/\1/p' out >kinds
good 'sunrise|sun' reckon --help
within 80 'reckon --help'
sed -n 's/^  \([a-z-]\{1,\}\)  .*/\1/p' out >pieces
sed -n '/^Questions/,$s/^  \([a-z]\{1,\}\( [a-z]\{1,\}\)\{0,1\}\)  .*/\1/p' all | grep -vE '^(record|reckon)$' >commands
[ "$(wc -l <commands)" -ge 25 ] && [ "$(wc -l <kinds)" -ge 28 ] && [ "$(wc -l <pieces)" -ge 13 ] || fell 'the lists of the help are short'
while read -r c; do good "^leenest $c" $c --help; within 80 "$c --help"; done <commands
while read -r c; do good "^leenest record $c" record $c --help; within 80 "record $c --help"; done <kinds
while read -r c; do good "^leenest reckon $c" reckon $c --help; within 80 "reckon $c --help"; done <pieces
for c in sow gilt boar hut boar-run weather-source; do good "^leenest record $c" record $c --help; done
good 'fed|needed' record service --help
grep -q -- '--at TIME .*needed' out || fell 'the day of a service is not asked for'
good '--at TIME .*now unless given' record look --help
good '' record hut --help
grep -q 'steel|plastic|wood' out || fell 'what walls there are is not said'
# one flag a line is enough to find it: none of them twice
while read -r c; do
    good '' record $c --help
    [ -z "$(grep -oE -- '(^  |, |: )--[a-z0-9-]+' out | sed 's/.*--/--/' | sort | uniq -d)" ] || fell "record $c --help tells a flag twice: $(grep -oE -- '(^  |, |: )--[a-z0-9-]+' out | sed 's/.*--/--/' | sort | uniq -d | tr '\n' ' ')"
done <kinds

# ---- man page ----
good '^\.TH LEENEST' man
if command -v man >/dev/null && command -v groff >/dev/null; then
    cp out leenest.1
    steps=$((steps + 1))
    MANWIDTH=80 LC_ALL=C.UTF-8 man --warnings -E UTF-8 -l leenest.1 >page 2>warnings </dev/null || fell 'man does not take the page'
    [ -s warnings ] && fell "groff warns: $(head -3 warnings)"
    grep -q 'EXIT STATUS' page || fell 'the page is cut'
    while read -r c; do grep -qF "leenest $c" page || fell "$c is not on the man page"; done <commands
    while read -r c; do grep -qF "record $c" page || fell "record $c is not on the man page"; done <kinds
else
    echo 'man page: skipped, no man or groff here'
fi

# ---- completion ----
good '_leenest' completion
if command -v bash >/dev/null; then
    cp out completion.bash
    steps=$((steps + 1))
    bash -n completion.bash 2>warnings || fell "bash does not read it: $(head -1 warnings)"
    completes() {   # completes WANTED WORDS...: the last word is being typed
        want=$1
        shift
        steps=$((steps + 1))
        got=$(bash -c '. ./completion.bash; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=(); _leenest; printf "%s " "${COMPREPLY[@]}"' bash "$@" 2>&1)
        case " $got" in *" $want "*) ;; *) : >out; fell "completing '$*' gives '$got', not $want" ;; esac
    }
    completes tonight leenest to
    completes record leenest rec
    completes service leenest record s
    completes sow leenest record s
    completes shelter leenest record s
    completes setting leenest record s
    completes --at leenest record service --a
    completes --width leenest record hut --w
    completes --corrects leenest record service --c
    completes fetch leenest weather f
    completes --service leenest weather fetch --s
    completes --horizon leenest tonight --h
    completes --json leenest due --j
    completes nest leenest reckon n
    completes --litters-before leenest record sow --li
    completes --facing leenest reckon nest --fa
    completes placement leenest list pl
fi

# ---- colour, width, environment ----
"$LEENEST" record farm --name Hillside --lat 44.99 --lon -93.29 --zone America/Chicago >out 2>err
long='Buttercup of the Long Meadow behind the Old Orchard, the second of that name'
good 'Recorded' record sow --name "$long"
good 'Recorded' record service --sow "$long" --at 2024-08-04T08:00
good 'Recorded' record sow --name Bramble
good 'Recorded' record service --sow Bramble --at 2024-08-05T08:00
good 'Recorded' record hut --name North
good 'Recorded' record placement --shelter North --from 2024-11-01 --facing 315
good 'hours kept' weather type 'low -11C, wind SW 7 mps, rain until 21:00' --at $at
for q in tonight due shelters weather round calendar; do
    good '' $q --at $at
    within 80 $q
    cp out plain
    for w in '--narrow 44' '--width=60 60' '--width=100 100' '--width=20 40'; do
        good '' $q --at $at ${w% *}
        [ "${w% *}" = --width=20 ] || within "${w#* }" "$q ${w% *}"
    done
    good '' $q --at $at --colour never
    the_same out plain
    NO_COLOR=1 good '' $q --at $at
    the_same out plain
    good '' $q --at $at --colour always
    sed "s/$(printf '\033')\[[0-9;]*m//g" out >bare
    the_same bare plain
    for tz in Asia/Tokyo America/Los_Angeles :/nowhere; do TZ=$tz good '' $q --at $at; the_same out plain; done
    good '' $q --at $at --json
    cp out plain.json
    LC_ALL=de_DE.UTF-8 LANG=de_DE.UTF-8 good '' $q --at $at --json
    the_same out plain.json
done
for c in 'list sow' 'history' 'flags' 'held' 'check' 'weather kept'; do
    good '' $c
    within 80 "$c"
    good '' $c --narrow
    within 44 "$c --narrow"
done
if command -v localedef >/dev/null && localedef -i de_DE -f UTF-8 ./de_DE.UTF-8 >/dev/null 2>&1; then
    steps=$((steps + 1))
    good '' due --at $at --json
    cp out plain.json
    LOCPATH=$PWD LC_ALL=de_DE.UTF-8 "$LEENEST" due --at $at --json >german.json
    the_same plain.json german.json
fi

steps_end
