# SPDX-License-Identifier: GPL-3.0-or-later
# Shared by the scripts of this folder: a farm in the scratch folder, facts through the program itself, text compared.
# Sourced with $LEENEST, $LEENEST_OUTSIDE and $LEENEST_SCRATCH set; needs_weather FILE... and new_farm come first.

needs_weather() {
    weather=$LEENEST_OUTSIDE/weather
    for f in "$@"; do
        [ -r "$weather/$f" ] || { echo "skipped: no $f in $weather"; exit 77; }
    done
}

new_farm() {
    mkdir -p "$LEENEST_SCRATCH" || exit 1
    farm=$LEENEST_SCRATCH/$1.farm
    rm -f "$farm" "$farm-journal"
}

# Nothing in these farms is odd: a flag on a fact is a fault of the script or of the program.
fact() {
    said=$("$LEENEST" --farm "$farm" record "$@" 2>&1) || { echo "record $*: $said"; exit 1; }
    case $said in *'  odd: '*) echo "record $*: $said"; exit 1 ;; esac
}

weather() {
    said=$("$LEENEST" --farm "$farm" weather "$@" 2>&1) || { echo "weather $*: $said"; exit 1; }
}

# wanted WANT question...: the text of the answer is the text beside the script, line for line.
wanted() {
    want=$1; shift
    got=$LEENEST_SCRATCH/$(basename "$want" .want).got
    "$LEENEST" --farm "$farm" "$@" >"$got" 2>&1 || { echo "$*: exit $?"; cat "$got"; exit 1; }
    if diff -u "$want" "$got"; then
        echo "$(wc -l <"$got") lines as wanted: $*"
    else
        echo "not as wanted: $*"
        exit 1
    fi
}
