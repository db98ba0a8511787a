# SPDX-License-Identifier: GPL-3.0-or-later
# Steps of a script test: each runs the program once and holds its exit code and both streams to what is expected.
# Read in with `. tests/doors/steps.sh`; needs $LEENEST and $LEENEST_SCRATCH.
#
#   good PATTERN WORDS...      exit 0, nothing on standard error, PATTERN (grep -E; '' = anything) in what is printed
#   answer_no PATTERN WORDS... exit 1, the same otherwise
#   bad CODE PATTERN WORDS...  exit CODE, nothing printed, one line on standard error that begins "leenest: " and has PATTERN
#   has PATTERN / lacks PATTERN   of what the last step printed
#   the_same FILE FILE         byte for byte
#   steps_end                  counts, and the exit code of the script

set -u
LC_ALL=C
export LC_ALL
steps=0 failed=0
case $LEENEST in /*) ;; *) LEENEST=$PWD/$LEENEST ;; esac
project=$PWD
rm -rf "$LEENEST_SCRATCH"
mkdir -p "$LEENEST_SCRATCH" && cd "$LEENEST_SCRATCH" || exit 99

fell() {
    failed=$((failed + 1))
    printf 'step %s: %s\n' "$steps" "$1" | cut -c1-400
    [ -s out ] && { printf '  printed: '; head -c 600 out | head -8; }
    [ -s err ] && { printf '  refused: '; head -c 400 err | head -4; }
    return 0
}

expect() {
    want=$1 pattern=$2
    shift 2
    steps=$((steps + 1))
    "$LEENEST" "$@" >out 2>err </dev/null
    code=$?
    if [ $code -ne "$want" ]; then
        fell "exit $code, not $want: $*"
    elif [ -s err ]; then
        fell "says something on standard error: $*"
    elif [ -n "$pattern" ] && ! grep -qE -e "$pattern" out; then
        fell "does not print /$pattern/: $*"
    fi
}

good() { expect 0 "$@"; }
answer_no() { expect 1 "$@"; }

bad() {
    want=$1 pattern=$2
    shift 2
    steps=$((steps + 1))
    "$LEENEST" "$@" >out 2>err </dev/null
    code=$?
    if [ $code -ne "$want" ]; then
        fell "exit $code, not $want: $*"
    elif [ -s out ]; then
        fell "prints something though it refuses: $*"
    elif [ "$(wc -l <err)" -ne 1 ] || ! grep -q '^leenest: ' err; then
        fell "does not refuse in one line: $*"
    elif ! grep -qE -e "$pattern" err; then
        fell "does not say /$pattern/: $*"
    fi
}

has() {
    steps=$((steps + 1))
    grep -qE -e "$1" out || fell "does not print /$1/"
}

lacks() {
    steps=$((steps + 1))
    grep -qE -e "$1" out && fell "prints /$1/"
    return 0
}

the_same() {
    steps=$((steps + 1))
    cmp -s "$1" "$2" || { : >out; fell "$1 and $2 differ: $(diff "$1" "$2" | head -5)"; }
}

# uid that the last record step gave
uid() { sed -n '1s/.*(\([0-9a-f]\{32\}\))$/\1/p' out; }

# number of the newest change
newest() { "$LEENEST" history --most 1 --csv </dev/null | sed -n '2s/,.*//p'; }

steps_end() {
    echo "$steps steps, $failed fell short"
    [ "$failed" -eq 0 ]
    exit
}
