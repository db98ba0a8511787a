#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Coming in over loopback: what listens, the one-time key, sessions and their cookie, the password, tries, memory of
# twenty log-ins at once, what a stolen farm file is worth.
. tests/doors/steps.sh
. "$project/tests/doors/serve_steps.sh"
unset LEENEST_FARM
good 'Recorded' record farm --name Larkmoor --lat 54.62 --lon -2.41 --zone Europe/London

# ---- loopback alone ----
serve_start
if command -v ss >/dev/null; then
    steps=$((steps + 1))
    ss -ltnH | awk -v p=":$port$" '$4 ~ p { sub(p, "", $4); print $4 }' | sort >out
    grep -qx '127.0.0.1' out && [ -z "$(grep -vx -e '127.0.0.1' -e '\[::1\]' out)" ] || fell 'it listens elsewhere than on the loopback'
else
    echo 'what it listens on: not looked at, no ss here'
fi

# ---- nobody is let in without a key, and the key serves once ----
get 401 'sentence' /api/devices
get 401 '' /api/devices
get 200 '"signed_in": *false' /api/session
has '"here": *true'
has '"lan": *false'
has '"password_set": *false'
has '"secure": *false'
has '"address_changed": *false'
post 401 'key' /api/session '{"key": "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"}'
head_lacks '^set-cookie'
post 200 'this machine' /api/session "{\"key\": \"$key\"}" -c one
head_has '^set-cookie: leenest_session=[A-Za-z0-9_-]{43};'
head_has '^set-cookie:.*; *HttpOnly'
head_has '^set-cookie:.*; *SameSite=Strict'
head_has '^set-cookie:.*; *Path=/'
head_has '^set-cookie:.*; *Max-Age=34560000'
head_lacks '^set-cookie:.*Secure'
head_lacks '^set-cookie:.*Domain'
post 401 'used' /api/session "{\"key\": \"$key\"}"
get 200 '"master": *true' /api/session -b one
has '"signed_in": *true'
get 200 'devices' /api/devices -b one
get 401 '' /api/devices -b 'leenest_session=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA'
get 401 '' /api/devices -b 'leenest_session='
get 401 '' /api/devices -b "leenest_session=$(head -c 3000 /dev/zero | tr '\0' A)"
get 401 '' /api/devices -b "session=$(awk '/leenest_session/ { print $7 }' one)"
post 400 'one of' /api/session "{\"key\": \"x\", \"password\": \"y\"}"
post 400 '' /api/session '{}'
post 400 '' /api/session '{"password": 5}'
post 400 '' /api/session '{"parole": "x"}'

# ---- a stolen farm file ----
token=$(awk '/leenest_session/ { print $7 }' one)
hex=$(printf '%s=' "$token" | tr '_-' '/+' | base64 -d | od -An -tx1 | tr -d ' \n')
steps=$((steps + 1))
[ ${#hex} -eq 64 ] || fell "the token is $hex"
digest=$(printf '%s=' "$token" | tr '_-' '/+' | base64 -d | b2sum -l 256 | cut -d' ' -f1)
od -An -v -tx1 farm.leenest | tr -d ' \n' >bytes
grep -q "$digest" bytes || fell 'the digest is not in the farm file, so what is searched for below proves nothing'
steps=$((steps + 1))
grep -q "$hex" bytes && fell 'the session itself is in the farm file'
grep -qF "$token" farm.leenest && fell 'the cookie is in the farm file'
octal=$(for pair in $(printf '%s' "$digest" | sed 's/../& /g'); do printf '\\%03o' $((0x$pair)); done)
as_cookie=$(printf "$octal" | base64 | tr -d '=\n' | tr '/+' '_-')
get 401 '' /api/devices -b "leenest_session=$as_cookie"

# ---- a session lives through a new start; the key of that start is another ----
serve_stop
steps=$((steps + 1))
[ "$server_code" -eq 0 ] || fell "it ends with $server_code"
before=$key
serve_start
post 401 '' /api/session "{\"key\": \"$before\"}"
get 200 '' /api/devices -b one
post 200 '' /api/session "{\"key\": \"$key\"}" -c two

# ---- devices; one ends itself, one ends another ----
get 200 '"this_one": *true' /api/devices -b one
steps=$((steps + 1))
[ "$(grep -o '"called"' out | wc -l)" -eq 2 ] || fell 'not two devices'
get 200 '' /api/devices -b two
post 200 '' /api/session/end '{}' -b two
head_has '^set-cookie: leenest_session=;.*Max-Age=0'
get 401 '' /api/devices -b two
get 200 '' /api/devices -b one
post 404 '' /api/devices/end '{"device": 12345}' -b one

# ---- the password ----
post 400 'too short' /api/password '{"password": "short"}' -b one
post 401 '' /api/password '{"password": "three dry bales"}'
post 401 'password is set' /api/session '{"password": "three dry bales"}'
post 200 '' /api/password '{"password": "three dry bales"}' -b one
post 403 'so far' /api/password '{"password": "four dry bales"}' -b one
post 200 '' /api/password '{"password": "four dry bales", "old": "three dry bales"}' -b one
get 200 '"password_set": *true' /api/session -b one
serve_stop
serve_start
post 401 'not the password' /api/session '{"password": "three dry bales", "called": "tablet"}'
post 200 'tablet' /api/session '{"password": "four dry bales", "called": "tablet"}' -c tablet
get 200 '"master": *true' /api/session -b tablet
long=$(head -c 1025 /dev/zero | tr '\0' a)
post 400 'longer' /api/session "{\"password\": \"$long\"}"
printf '{"password": "four dry bales", "called": "  <img src=x onerror=alert(1)>\\n\\u0007%s"}' "$(head -c 200 /dev/zero | tr '\0' z)" >body
post 200 '<img src=x onerror=alert\(1\)>z+"' /api/session @body
steps=$((steps + 1))
[ "$(member called | wc -c)" -le 61 ] || fell 'a name is not cut'

# ---- a password set at the command line sends all others out, while it runs ----
steps=$((steps + 1))
printf 'a field of clean straw\n' | "$LEENEST" password >out 2>err || fell 'password'
sleep 3
get 401 '' /api/devices -b one
get 401 '' /api/devices -b tablet
post 200 '' /api/session '{"password": "a field of clean straw"}' -c tablet
post 401 '' /api/session '{"password": "four dry bales"}'
serve_stop

# ---- tries: the sixth is not looked at, right or wrong, and another address is not concerned ----
serve_start
for i in 1 2 3 4 5; do post 401 '' /api/session '{"password": "guess number"}' --interface 127.0.0.2; done
post 429 'too many tries' /api/session '{"password": "guess number"}' --interface 127.0.0.2
post 429 'too many tries' /api/session '{"password": "a field of clean straw"}' --interface 127.0.0.2
head_has '^retry-after: *[1-6]?[0-9]'
head_lacks '^set-cookie'
post 429 '' /api/session "{\"key\": \"$key\"}" --interface 127.0.0.2
post 200 '' /api/session '{"password": "a field of clean straw"}' --interface 127.0.0.3 -c three
for i in 1 2 3 4 5 6 7 8; do post 200 '' /api/session '{"password": "a field of clean straw"}' --interface 127.0.0.3; done
get 200 '' /api/devices -b tablet --interface 127.0.0.2   # who has a session is not concerned
serve_stop

# ---- twenty at once from twenty addresses: one hash at a time ----
serve_start
get 200 '' /api/session
high() { awk '/VmHWM/ { print $2 }' "/proc/$server/status"; }
idle=$(high)
post 200 '' /api/session '{"password": "a field of clean straw"}' --interface 127.0.0.9
one=$(high)
pids=
for i in $(seq 101 120); do
    curl -s -m 60 -o /dev/null -w '%{http_code}\n' --interface 127.0.0.$i -H 'Content-Type: application/json' \
        -H 'Sec-Fetch-Site: same-origin' --data-binary '{"password": "wrong all the same"}' "$home/api/session" >code.$i &
    pids="$pids $!"
done
for p in $pids; do wait "$p"; done
cat code.* | sort | uniq -c >out
all=$(high)
steps=$((steps + 2))
# on a machine that is busy with other things some give up waiting; ten hashes at once would show as well as twenty
[ "$(cat code.* | grep -c 401)" -ge 10 ] || fell 'the twenty tries were not looked at'
case "${LEENEST_SANITIZE:-}" in
'') [ $((one - idle)) -ge 60000 ] || fell "one hash takes $((one - idle)) kB, not 64 MiB"
    [ $((all - one)) -lt 20000 ] || fell "twenty log-ins took $((all - one)) kB more than one" ;;
esac
echo "memory: $idle kB idle, $one kB with one hash, $all kB with twenty log-ins at once"
serve_stop

# ---- nothing of all that in what it says ----
steps=$((steps + 1))
cat serve.err >says
grep -qE 'straw|bales|127\.0\.0\.|[A-Za-z0-9_-]{40}' says && fell 'a password, a key or an address is in what it says'

# ---- no farm file yet: the machine comes in, begins the farm, and is still in ----
rm -f farm.leenest
serve_start
get 200 '"setting_up": *true' /api/session
post 200 'this machine' /api/session "{\"key\": \"$key\"}" -c new
get 200 '"signed_in": *true' /api/session -b new
get 200 'this machine' /api/devices -b new
post 200 '' /api/begin '{"name": "Larkmoor", "lat": "54.62", "lon": "-2.41", "zone": "Europe/London"}' -b new
get 200 '"setting_up": *false' /api/session -b new
serve_stop
serve_start
get 200 '"signed_in": *true' /api/session -b new
serve_stop
steps_end
