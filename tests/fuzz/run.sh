#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Builds every fuzz target with clang's libFuzzer and the sanitizers and runs each for so many seconds, two at a time.
# New cases stay outside the tree; a crash is printed with its file.
set -eu
seconds=${1:-600}
dir=.build-fuzz
CC=clang cmake -B $dir -S . -DLEENEST_FUZZ=ON -DLEENEST_SANITIZE=address,undefined -DCMAKE_C_FLAGS=-fsanitize=fuzzer-no-link >/dev/null
targets=$(ls tests/fuzz/fuzz_*.c | sed 's|.*/||; s|\.c$||')
cmake --build $dir -j "$(nproc)" --target $targets >$dir/build.log 2>&1 || { tail -30 $dir/build.log; exit 1; }
one='t=$1; dir=$2; s=$3; r=${t#fuzz_}
mkdir -p "$dir/corpus/$r"
if "$dir/tests/$t" -max_total_time="$s" -max_len=65536 -timeout=10 -rss_limit_mb=2048 -print_final_stats=1 \
    -artifact_prefix="$dir/crash-$r-" "$dir/corpus/$r" "tests/fuzz/corpus/$r" >"$dir/$t.log" 2>&1
then echo "$r: $(sed -n "s/stat::number_of_executed_units: *//p" "$dir/$t.log") runs, clean"
else echo "$r: FAILED"; tail -25 "$dir/$t.log"; exit 255; fi'
printf '%s\n' $targets | xargs -P "$(nproc)" -I{} sh -c "$one" fuzz {} "$dir" "$seconds"
