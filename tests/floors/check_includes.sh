#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# An include that climbs is a bug. Folder -> folders it may include from.
allowed() {
    case $1 in
    core)    echo core ;;
    weather) echo 'core/base weather' ;;
    farm)    echo 'core/base farm' ;;
    desk)    echo 'core weather farm desk data' ;;
    demo)    echo 'core weather farm demo' ;;
    doors)   echo 'core/base desk doors data demo' ;;
    esac
}
bad=0 files=0
for room in core weather farm desk demo doors; do
    pattern=$(allowed $room | sed 's/ /|/g')
    files=$((files + $(find $room -name '*.[ch]' | wc -l)))
    grep -rnE '^#include "' --include='*.[ch]' $room 2>/dev/null | grep -vE "#include \"($pattern)/" && bad=1
done
# one file each knows these libraries
one() {   # header, the only files that may include it
    grep -rlE "#include <$1" --include='*.[ch]' core weather farm desk demo doors 2>/dev/null | grep -vE "^($2)" && bad=1
}
one 'glpk' 'core/base/lp\.c'
one 'curl/' 'weather/fetch'
one 'sqlite3' 'farm/'
one 'libical' 'doors/show/'
one 'microhttpd' 'doors/web/'
[ "$files" -gt 20 ] || { echo "only $files files looked at"; bad=1; }
echo "$files files looked at"
exit $bad
