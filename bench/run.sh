#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every speed figure in one run, each beside its witness.
set -eu
build=$1
for b in "$build"/bench/bench_*; do
    [ -x "$b" ] && [ -f "$b" ] || continue
    printf '== %s\n' "${b##*/bench_}"
    LEENEST="$build/leenest" "$b"
done
for b in bench/bench_*.sh; do
    printf '== %s\n' "${b#bench/bench_}"
    LEENEST="$build/leenest" sh "$b"
done
for m in bench/bench_*.mjs; do
    [ -f "$m" ] && command -v node >/dev/null || continue
    printf '== %s\n' "${m#bench/bench_}"
    LEENEST="$build/leenest" node "$m" || echo "skipped: its witness is not installed"
done
