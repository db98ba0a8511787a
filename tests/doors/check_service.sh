#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The example for systemd: its own judge finds it well shut (overall exposure under 3 of 10) and every line known.
command -v systemd-analyze >/dev/null || { echo 'skipped: no systemd-analyze here'; exit 77; }
systemd-analyze security --offline=yes docs/use/leenest.service >/dev/null 2>&1
[ $? -le 1 ] || { echo 'skipped: this systemd-analyze does not look at a file'; exit 77; }
said=$(SYSTEMD_COLORS=0 systemd-analyze security --offline=yes --no-pager docs/use/leenest.service 2>&1)
printf '%s\n' "$said" | grep -iE 'unknown|invalid|ignoring' && { echo 'a line is not known'; exit 1; }
level=$(printf '%s\n' "$said" | sed -n 's/.*exposure level for leenest.service: \([0-9.]*\).*/\1/p')
echo "exposure $level of 10"
[ -n "$level" ] && awk -v l="$level" 'BEGIN { exit !(l < 3) }'
