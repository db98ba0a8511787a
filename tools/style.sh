#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Style checks over the files git knows: licence line, line length (120 signs; some take two bytes), tabs, format, banned
# words, clang-tidy on what was compiled.
# `style.sh quick` leaves clang-tidy out; `style.sh most` leaves out of it the analyzer alone, which walks every path and
# takes twenty times as long as all the rest. BUILD: a folder compiled by clang.
set -u
bad=0
files=$(git ls-files '*.c' '*.h' '*.sh' '*.cmake' '*.mjs' 'CMakeLists.txt' '*/CMakeLists.txt')
for f in $files; do
    head -3 "$f" | grep -q 'SPDX-License-Identifier: GPL-3.0-or-later' || { echo "$f: no licence line"; bad=1; }
done
for f in $(git ls-files '*.c' '*.h'); do
    awk -v f="$f" 'length($0) > 126 { print f ":" NR ": line of " length($0) " characters"; n = 1 } /\t/ { print f ":" NR ": tab"; n = 1 }
                   /[ \t]+$/ { print f ":" NR ": space at the end"; n = 1 } END { exit n }' "$f" || bad=1
    [ -z "$(tail -c1 "$f")" ] || { echo "$f: no line feed at the end"; bad=1; }
done
if command -v clang-format >/dev/null; then
    git ls-files '*.c' '*.h' | xargs clang-format --dry-run --Werror 2>&1 | grep 'error:' | cut -d: -f1 | sort -u | sed 's/$/: not formatted; make format/' | grep . && bad=1
fi
git grep -nE '\b(TODO|FIXME|XXX|HACK)\b' -- '*.c' '*.h' '*.sh' ':!tools/style.sh' && bad=1
git grep -nE '"resolved": *"https?:' -- '*package-lock.json' && bad=1
count=$(printf '%s\n' "$files" | wc -l)
if [ "${1:-}" != quick ] && command -v clang-tidy >/dev/null; then
    dir=${BUILD:-build}
    less=
    [ "${1:-}" != most ] || less='--checks=-clang-analyzer-*'
    git ls-files 'core/*.c' 'weather/*.c' 'farm/*.c' 'desk/*.c' 'doors/*.c' 'demo/*.c' |
        xargs -P "$(nproc)" -n 1 clang-tidy --quiet $less --extra-arg=-Wno-unknown-warning-option -p "$dir" 2>/dev/null >"$dir/tidy.log" || { grep -E '(error|warning):' "$dir/tidy.log" | head -40; bad=1; }
fi
echo "style: $count files looked at"
exit $bad
