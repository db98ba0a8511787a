#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# core stands on nothing: fail if its objects call anything but memory, maths and the numerical libraries.
[ -z "$LEENEST_SANITIZE" ] || exit 77
defined=$(nm --format=posix --defined-only "$LIBCORE" | awk '$2 ~ /^[TDRBC]$/ { print $1 }' | sort -u)
bad=$(nm -u --format=posix "$LIBCORE" | awk '$2 == "U" { sub(/@.*/, "", $1); print $1 }' | sort -u |
      grep -vxE '(_GLOBAL_OFFSET_TABLE_|__stack_chk_fail|__(memcpy|memmove|memset|snprintf|vsnprintf)_chk|__assert_fail|calloc|realloc|free|mem(cpy|set|cmp|move|chr)|str(len|nlen|cmp|ncmp|chr|cspn|spn|pbrk|str)|v?snprintf|strtod|strtoull|a?(sin|cos|tan)h?|sincos|atan2|exp|exp2|exp10|expm1|log|log1p|log2|log10|pow|sqrt|cbrt|hypot|fmod|fmin|fmax|erfc?|[lt]gamma|floor|ceil|trunc|round|l?lround|rint|lrint|nearbyint|fabs|ldexp|frexp|qsort|bsearch|_?setjmp|__sigsetjmp|(__)?longjmp(_chk)?|glp_.*|gsl_.*)' |
      while read -r symbol; do printf '%s\n' "$defined" | grep -qxF "$symbol" || echo "$symbol"; done)
# no state outside a struct somebody owns: nothing in .data or .bss (constant tables of pointers lie in .data.rel.ro)
state=$(nm --format=sysv "$LIBCORE" | awk -F'|' '{ gsub(/ /, "", $1); gsub(/ /, "", $7) } $7 ~ /^\.(data|bss|tdata|tbss)(\.|$)/ && $7 !~ /^\.data\.rel\.ro/ { print $1 }' | sort -u)
[ -n "$defined" ] || { echo "no symbols read"; exit 1; }
[ -z "$bad" ] || echo "core must not call: $bad" >&2
[ -z "$state" ] || echo "core must not keep: $state" >&2
echo "$(printf '%s\n' "$defined" | wc -l) symbols of core looked at"
[ -z "$bad" ] && [ -z "$state" ]
