#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# At the farm file's door: names that are odd but names, flags in odd places, things that are no farm file, and places to print
# to that fail. (Every flag of every record, command and question is tried by test_rubbish_farm.c.) What is refused is refused in
# one line, exit 2, or 3 where the machine or the file fails; nothing is printed then, and the farm file is the same byte for byte.
. tests/doors/steps.sh
unset LEENEST_FARM NO_COLOR
L=$LEENEST

make_farm() {
    "$L" record farm --name Hill --lat 44.99 --lon -93.29 --zone America/Chicago
    "$L" record sow --name Bramble
    "$L" record boar --name Otis
    "$L" record group --name Dry
    "$L" record paddock --name Low
    "$L" record hut --name North
    "$L" record placement --shelter North --from 2024-11-01
    "$L" record windbreak --name Hedge --is hedge --height 2
    "$L" record weather-source --name sky --is own
    "$L" record person --name Mo
} >made 2>&1 </dev/null
make_farm
[ "$(grep -c '^Recorded' made)" -eq 10 ] || { cat made; exit 1; }
cp farm.leenest before.leenest

ff=$(printf '\377') one=$(printf 'a\001b') esc=$(printf '\033[31mred')
nines=$(printf '%5000s' '' | tr ' ' 9) letters=$(printf '%5000s' '' | tr ' ' n)
rtl='خنزيرة' turned=$(printf 'a\342\200\256b')

# refused FLAG WORDS...: exit 2, one line that begins "leenest: " and names FLAG, nothing printed
refused() {
    flag=$1
    shift
    steps=$((steps + 1))
    "$L" "$@" >out 2>err </dev/null
    code=$?
    first='' second=''
    { IFS= read -r first; IFS= read -r second; } <err
    if [ $code -ne 2 ]; then
        fell "exit $code, not 2: $*"
    elif [ -s out ]; then
        fell "prints something though it refuses: $*"
    elif [ -n "$second" ]; then
        fell "more than one line: $*"
    else
        case $first in
        "leenest: "*"$flag"*) ;;
        *) fell "does not name $flag: $*" ;;
        esac
    fi
}

untouched() {
    cmp -s farm.leenest before.leenest || { fell "$1: the farm file has changed"; cp before.leenest farm.leenest; }
}

refused 'unknown word' record note stray
refused 'unknown flag' record note --stray
refused 'unknown kind' record '<img src=x onerror=alert(1)>'
refused 'unknown kind' record "$letters"
refused 'unknown kind' record "$ff"
refused 'record what' record
refused --temp record reading --at 2024-12-01 --temp --rh 0.5
refused --rh record reading --at 2024-12-01 --rh 85
refused bedding record bedding --placement North --at 2024-12-01
refused "boar run" record boar_run --boar Otis --from 2024-12-01
untouched 'record'

# names that are odd but are names: kept as they are, shown as they are, and no harm done
cp farm.leenest odd.leenest
for v in '<img src=x onerror=alert(1)>' "'; DROP TABLE animal; --" "$rtl" '=1+1' '"' 'a,b' '--help' '%s%n%s'; do
    good 'Recorded' --farm odd.leenest record sow "--name=$v"
    good '' --farm odd.leenest list sow --json
    grep -qFe "$(printf '%s' "$v" | sed 's/"/\\"/')" out || fell "$v is not listed"
    good '' --farm odd.leenest record service "--sow=$v" --at 2024-08-01
done
for q in due calendar round check flags history; do good '' --farm odd.leenest $q; done
good 'DROP TABLE' --farm odd.leenest due --at 2024-11-20 --narrow
good '^BEGIN:VCALENDAR' --farm odd.leenest calendar --at 2024-11-20 --ics
good '' --farm odd.leenest export --to odd
good '' --farm odd2.leenest import odd
good '' --farm odd2.leenest export --to odd2
diff -r odd odd2 >/dev/null || fell 'odd names do not come through an export'

refused NUMBER settle nan
refused NUMBER settle
refused NUMBER settle -5
refused KIND list
refused KIND list ''
refused 'unknown kind' list "$letters"
refused UID void
refused UID void ''
refused UID void Nobody
refused UID history "$ff"
refused UID undo "'; DROP TABLE journal; --"
refused FILE import ''
refused FILE weather import
refused TEXT weather type ''
refused BACKUP restore ''
for t in 'low' 'low 12' 'low warm' 'low 900F' 'wind' 'wind XX 15 mph' 'wind SW -3' 'rain until' 'rain until 99:99' 'low 1e999' 'low nan' \
    'low -400C' 'high 10F' 'low 30F, high 10F' ',,,,' 'the weather will be fine' "$ff" "$one" "$letters" 'snow -5 cm' 'cloud 900%' 'humidity 3'; do
    case $t in 'low 12') continue ;; esac
    refused '' weather type "$t" --at 2024-12-01T12:00
done
refused 'unknown weather' weather fetsh
refused --contact weather fetch --service met-norway
refused --base weather fetch --service met-norway --contact me@example.org --base "file:///etc/passwd"
printf 'time,temp\n' >hours.csv
for f in hours.csv before.leenest . nowhere; do refused "$f" weather import $f; done
refused --columns weather import hours.csv --columns time
untouched 'weather'

# flags in odd places
refused 'unknown' --frobnicate
refused 'unknown' ''
refused 'unknown' "$letters"
refused 'unknown' "$ff"
refused 'unknown' "$esc"
refused --width --width 5 due
refused --json --json=yes due
refused --farm --farm --json due
good '' due --json --at 2024-11-20 --narrow
good '' --narrow --width 40 --colour never due --at 2024-11-20
good 'leenest due' due --help --json
good 'leenest due' --help due
untouched 'flags in odd places'
# what cannot be shown is not sent to the terminal
"$L" due "$esc" 2>err >out; grep -q "$(printf '\033')" err && fell 'an escape sequence reaches the terminal'
"$L" due "$turned" 2>err >out; grep -q "$(printf '\342\200\256')" err && fell 'a refusal can be turned round'

# ---- no farm file, and what is none ----
mkdir folder.leenest
: >empty.leenest
printf 'these are words, not a farm file, and there are more than sixteen of them in this line, to be sure of it\n' >text.leenest
head -c 3000 before.leenest >cut.leenest
head -c 100000 before.leenest >cut2.leenest
head -c 4096 /dev/zero >zero.leenest
for f in none.leenest folder.leenest empty.leenest text.leenest cut.leenest cut2.leenest zero.leenest no/such/folder/farm.leenest; do
    for c in 'due' 'tonight' 'list sow' 'record sow --name New' 'undo' 'check' 'backup' 'export --to gone' 'weather type dry' 'round' 'history'; do
        steps=$((steps + 1))
        "$L" --farm $f $c >out 2>err </dev/null
        code=$?
        first='' second=''
        { IFS= read -r first; IFS= read -r second; } <err
        case "$code $first" in
        [23]' leenest: '*) [ -s out ] || [ -n "$second" ] && fell "$f: $c: prints something or more than one line" ;;
        *) fell "$f: $c: exit $code" ;;
        esac
    done
done
[ ! -e none.leenest ] && [ ! -e gone ] && [ ! -s empty.leenest ] || fell 'something was made where nothing is'
bad 2 'text.leenest' --farm text.leenest record farm --name A --lat 1 --lon 1 --zone UTC

# ---- where it prints to ----
to() {   # to WANT WHERE WORDS...: exit WANT with standard output going there
    want=$1 where=$2
    shift 2
    steps=$((steps + 1))
    case $where in
    closed) "$L" "$@" >&- 2>err </dev/null ;;
    all-closed) "$L" "$@" >&- 2>&- <&- ; code=$?; : >err; [ $code -eq "$want" ] || fell "exit $code, not $want, with nothing open: $*"; return ;;
    *) "$L" "$@" >"$where" 2>err </dev/null ;;
    esac
    code=$?
    : >out
    [ $code -eq "$want" ] || fell "exit $code, not $want, printing to $where: $*"
    [ "$want" -eq 0 ] || [ "$(wc -l <err)" -eq 1 ] || fell "not one line, printing to $where: $*"
}
if [ -e /dev/full ]; then
    to 3 /dev/full due
    to 3 /dev/full due --json
    to 3 /dev/full list sow --csv
    to 3 /dev/full --help
    to 3 /dev/full man
    cp farm.leenest full.leenest
    to 3 /dev/full --farm full.leenest record sow --name Kept
    grep -q 'written down' err || fell 'a record that is kept is not said to be kept'
    good 'Kept' --farm full.leenest list sow
    "$L" due --frob 2>/dev/full; [ $? -eq 2 ] || fell 'a refusal that cannot be printed is no refusal'
fi
to 3 closed due
to 3 closed list sow
to 3 all-closed list sow
to 2 all-closed list cow
cp farm.leenest shut.leenest
"$L" --farm shut.leenest record sow --name Shut >&- 2>&- <&-
good 'Shut' --farm shut.leenest list sow
good '' --farm shut.leenest check
untouched 'printing'

# ---- read-only; root may write anywhere, so another one asks ----
other=''
if [ "$(id -u)" -eq 0 ]; then other='setpriv --reuid=65534 --regid=65534 --clear-groups'; fi
mkdir shelf && cp farm.leenest shelf/farm.leenest && chmod 444 shelf/farm.leenest && chmod 555 shelf
if [ -z "$other" ] || $other test -r "$PWD/shelf/farm.leenest" -a -x "$L" 2>/dev/null; then
    steps=$((steps + 3))
    $other "$L" --farm "$PWD/shelf/farm.leenest" list sow --csv >got 2>err </dev/null || fell 'a farm file that can only be read is not read'
    grep -q Bramble got || fell 'a farm file that can only be read says nothing'
    $other "$L" --farm "$PWD/shelf/farm.leenest" record sow --name New >got 2>err </dev/null
    [ $? -eq 3 ] && [ ! -s got ] && [ "$(wc -l <err)" -eq 1 ] || fell 'a farm file that can only be read is written to'
else
    echo 'read-only file: skipped, nobody else can reach it'
fi
chmod 755 shelf

steps_end
