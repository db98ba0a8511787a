#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The web door's speed on loopback, beside the command line asking the same. wrk, 1 thread, 8 connections, 3 s. wrk and the
# program share the machine's cores, so the processor time that the program itself used for each answer stands beside.
set -eu
command -v wrk >/dev/null && command -v curl >/dev/null || { echo 'skipped: wrk or curl is not installed'; exit 0; }
leenest=${LEENEST:-build/leenest}
work=$(mktemp -d)
server=
trap '[ -z "$server" ] || kill "$server" 2>/dev/null || true; rm -rf "$work"' EXIT INT TERM
farm=$work/farm.leenest
"$leenest" demo --to "$farm" >/dev/null
now_ms() { echo $(($(date +%s%N) / 1000000)); }

# --- start to first answer, 15 times; the command line's bare start beside it
median() { sort -n | awk '{ a[NR] = $1 } END { print a[int((NR + 1) / 2)] }'; }
cat >"$work/start.c" <<'C'
#include <arpa/inet.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <signal.h>
#include <time.h>
#include <unistd.h>
static double ms(void) { struct timespec t; clock_gettime(CLOCK_MONOTONIC, &t); return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6; }
int main(int argc, char **argv)   /* LEENEST FARM: from fork to the whole first answer of a question that opens the farm file */
{
    char line[256] = "", ask[512], got[4096];
    int out[2];
    if (argc < 3 || pipe(out) != 0) return 1;
    const double from = ms();
    const pid_t child = fork();
    if (child == 0) {
        dup2(out[1], 1);
        execl(argv[1], argv[1], "--farm", argv[2], "serve", "--port", "0", "--no-browser", (char *)0);
        _exit(127);
    }
    for (size_t n = 0; n + 1 < sizeof line && !strchr(line, '\n'); n++)
        if (read(out[0], line + n, 1) != 1) return 1;
    const int port = (int)strtol(strchr(line + 5, ':') + 1, 0, 10);
    const char *key = strstr(line, "#key=") + 5;
    char session[128] = "";
    for (int turn = 0; turn < 2; turn++) {
        struct sockaddr_in at = { .sin_family = AF_INET, .sin_port = htons((unsigned short)port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK) };
        const int s = socket(AF_INET, SOCK_STREAM, 0);
        if (connect(s, (struct sockaddr *)&at, sizeof at) != 0) return 1;
        char body[128];
        snprintf(body, sizeof body, "{\"key\":\"%.43s\"}", key);
        const int n = turn == 0 ? snprintf(ask, sizeof ask, "POST /api/session HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nSec-Fetch-Site: same-origin\r\nContent-Type: application/json\r\nContent-Length: %zu\r\nConnection: close\r\n\r\n%s", port, strlen(body), body)
                                : snprintf(ask, sizeof ask, "GET /api/number HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\nConnection: close\r\n\r\n", port, session);
        if (write(s, ask, (size_t)n) != n) return 1;
        size_t k = 0;
        for (ssize_t r; k + 1 < sizeof got && (r = read(s, got + k, sizeof got - 1 - k)) > 0;) k += (size_t)r;
        got[k] = 0;
        close(s);
        const char *cookie = strstr(got, "leenest_session=");
        if (turn == 0 && cookie) snprintf(session, sizeof session, "%.59s", cookie);
        if (turn == 1 && !strstr(got, "200 OK")) { fputs(got, stderr); return 1; }
    }
    printf("%.1f\n", ms() - from);
    kill(child, SIGTERM);
    int how = 0;
    waitpid(child, &how, 0);
    return WIFEXITED(how) && WEXITSTATUS(how) == 0 ? 0 : 1;
}
C
cc -O2 -o "$work/start" "$work/start.c"
i=0; while [ $i -lt 15 ]; do "$work/start" "$leenest" "$farm"; i=$((i + 1)); done 2>/dev/null >"$work/starts"
i=0; while [ $i -lt 15 ]; do a=$(date +%s%N); "$leenest" --version >/dev/null; b=$(date +%s%N); echo "$(((b - a) / 1000))"; i=$((i + 1)); done >"$work/bare"
printf 'start to first answer   %s ms (median of 15; session and /api/number)\n' "$(median <"$work/starts")"
printf 'command line, bare      %s ms (median of 15; --version)\n' "$(sort -g "$work/bare" | awk '{ a[NR] = $1 } END { print a[8] / 1000 }')"

# --- under load
: >"$work/said"
"$leenest" --farm "$farm" serve --port 0 --no-browser >"$work/said" 2>"$work/log" &
server=$!
i=0; while ! grep -q key= "$work/said" && [ $i -lt 100 ]; do sleep 0.05; i=$((i + 1)); done
address=$(sed -n 's|\(http://[^/]*\)/.*|\1|p' "$work/said" | head -1)
key=$(sed -n 's/.*#key=//p' "$work/said" | head -1)
curl -s -o /dev/null -c "$work/jar" -H 'Sec-Fetch-Site: same-origin' -H 'Content-Type: application/json' -d "{\"key\":\"$key\"}" "$address/api/session"
token=$(awk '/leenest_session/ { print $7 }' "$work/jar")
used_us() { awk -v hz="$(getconf CLK_TCK)" '{ sub(/.*\) /, ""); printf "%d", ($12 + $13) * 1000000 / hz }' "/proc/$server/stat"; }
load() { # what, address, seconds, more for wrk; asked once before, so that what is kept is there
    curl -s -o /dev/null -b "$work/jar" "$address$2"
    before=$(used_us)
    wrk -t1 -c8 -d"$3" --latency -H "Cookie: leenest_session=$token" ${4:+-s "$4"} "$address$2" >"$work/wrk" 2>&1
    awk -v what="$1" -v us=$(($(used_us) - before)) '/99%/ { p = $2 } /Requests\/sec/ { r = $2 } /requests in/ { n = $1 }
        /Non-2xx/ { bad = ", NOT ALL GOOD: " $NF }
        END { printf "%-23s %9.0f/s   p99 %8s   %6.1f us of processor each%s\n", what, r, p, us / n, bad }' "$work/wrk"
}
cat >"$work/pipe.lua" <<'L'
init = function() local one = wrk.format(); all = string.rep(one, 16) end
request = function() return all end
L
load 'small answer (number)' /api/number 3
load '  16 in one write' /api/number 3 "$work/pipe.lua"
load 'page (index.html)' / 3
load 'tonight, kept' "/api/tonight?at=2026-01-22T15:40:00Z" 3
load 'sow, kept' "/api/sow?NAME=Bramble&at=2026-01-22T15:40:00Z" 3
# another moment each time: nothing is kept, all is reckoned
cat >"$work/moving.lua" <<'L'
local n = 0
request = function()
  n = n + 1
  return wrk.format("GET", string.format("/api/tonight?at=2026-01-22T%02d:%02d:%02dZ", 14 + math.floor(n / 3600) % 4, math.floor(n / 60) % 60, n % 60))
end
L
wrk -t1 -c2 -d4 --timeout 30s -s "$work/moving.lua" -H "Cookie: leenest_session=$token" "$address" >"$work/wrk" 2>&1
awk '/Non-2xx/ { bad = ", NOT ALL GOOD: " $NF } /Requests\/sec/ { r = $2 } END { printf "tonight, each anew      %9.1f/s%s\n", r, bad }' "$work/wrk"
# one after the other: what an answer costs in another minute of the same hour, and after a record that touches no shelter
tonight() { # minute; adds what it took to `spent`
    from=$(used_us)
    curl -s -o /dev/null -b "$work/jar" "$address/api/tonight?at=2026-01-22T15:$1:00Z"
    spent=$((spent + $(used_us) - from))
}
of_20() { awk -v what="$1" -v us=$spent 'BEGIN { printf "%-23s %9.1f ms of processor each (20)\n", what, us / 20000 }'; }
spent=0; tonight 09; spent=0
i=10; while [ $i -lt 30 ]; do tonight $i; i=$((i + 1)); done
of_20 'tonight, next minute'
spent=0; i=10; while [ $i -lt 30 ]; do
    curl -s -f -o /dev/null -b "$work/jar" -H 'Sec-Fetch-Site: same-origin' -H 'Content-Type: application/json' \
        -d "{\"fact\":{\"sow\":\"Bramble\",\"sign\":\"udder-tight\",\"at\":\"2026-01-22 15:$i\"}}" "$address/api/record/sign"
    tonight 40; i=$((i + 1))
done
of_20 'tonight, after a sign'
a=$(now_ms); i=0; while [ $i -lt 5 ]; do "$leenest" --farm "$farm" tonight --json --at 2026-01-22T15:40:00Z >/dev/null; i=$((i + 1)); done; b=$(now_ms)
awk -v ms=$((b - a)) 'BEGIN { printf "tonight, command line   %9.1f/s\n", 5000 / ms }'

# --- where: asked for the first time, and in another minute: 2026-01-22T15:41 is kept by nobody, the past hours are known
for at in 15:40 15:41; do
    before=$(used_us)
    took=$(curl -s -o /dev/null -w '%{time_total}' -b "$work/jar" "$address/api/where?at=2026-01-22T$at:00Z")
    awk -v at=$at -v s="$took" -v us=$(($(used_us) - before)) \
        'BEGIN { printf "where, %-16s %9.1f ms, %6.1f ms of processor\n", at == "15:40" ? "first" : "again", 1000 * s, us / 1000 }'
done

# --- a what-if while nights are reckoned
wrk -t1 -c1 -d4 --timeout 30s -s "$work/moving.lua" -H "Cookie: leenest_session=$token" "$address" >/dev/null 2>&1 &
other=$!
i=0; while [ $i -lt 20 ]; do curl -s -o /dev/null -w '%{time_total}\n' -b "$work/jar" "$address/api/reckon/nest?shelter=hut&temp=-6&wind=$i&wind-from=90&facing=90&wall=steel"; i=$((i + 1)); done | sort -n |
    awk '{ a[NR] = $1 } END { printf "a nest meanwhile        %9.1f ms (median of 20), %.1f ms at worst\n", 1000 * a[10], 1000 * a[20] }'
wait $other || true
awk '/VmRSS/ { printf "memory under load       %9.1f MB\n", $2 / 1024 } /VmHWM/ { printf "at most                 %9.1f MB\n", $2 / 1024 }' "/proc/$server/status"
