#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The long checks: clang with warnings as errors under AddressSanitizer and UndefinedBehaviorSanitizer with every test, the
# fuzz targets for a short while each, clang-tidy. `deep.sh 600` fuzzes ten minutes a target.
set -eu
jobs=$(nproc)
step() { printf '\n== %s\n' "$1"; }

step 'clang, warnings are errors, AddressSanitizer and UndefinedBehaviorSanitizer'
CC=clang cmake -B .build-san -S . -DLEENEST_WERROR=ON -DLEENEST_SANITIZE=address,undefined >/dev/null
cmake --build .build-san -j "$jobs" >.build-san/build.log 2>&1 || { grep -E 'error:' .build-san/build.log | head -20; exit 1; }
ASAN_OPTIONS=detect_leaks=1 ctest --test-dir .build-san --output-on-failure -j "$jobs"

step 'fuzz'
sh tests/fuzz/run.sh "${1:-10}"

step 'style and clang-tidy'
BUILD=.build-san sh tools/style.sh
