#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Phones: --lan wants a password, listens at private addresses by TLS alone, pairs by a square code and a yes, makes its
# certificate anew when an address changes. In a network of its own (unshare), so that this machine's stays as it is.
if [ "${1:-}" != inside ]; then
    for tool in unshare ip ss openssl curl; do
        command -v $tool >/dev/null || { echo "skipped: no $tool here"; exit 77; }
    done
    new=-n
    [ "$(id -u)" -eq 0 ] || new=-rn
    unshare $new ip link set lo up 2>/dev/null || { echo 'skipped: no network of its own to be had'; exit 77; }
    exec unshare $new sh "$0" inside
fi
ip link set lo up
for a in 192.168.7.20/24 192.168.7.21/24 10.20.0.3/16 203.0.113.5/24; do ip address add $a dev lo; done
. tests/doors/steps.sh
. "$project/tests/doors/serve_steps.sh"
unset LEENEST_FARM
good 'Recorded' record farm --name Larkmoor --lat 54.62 --lon -2.41 --zone Europe/London

# ---- not without a password ----
bad 2 'no password is set' serve --lan --no-browser --port 0
steps=$((steps + 1))
[ ! -e farm.leenest.door ] || fell 'a certificate is made all the same'
bad 2 'no password was given' password
steps=$((steps + 3))
printf 'short\n' | "$LEENEST" password >out 2>err
[ $? -eq 2 ] && grep -q 'too short' err || fell 'a short password passes'
head -c 5000 /dev/zero | tr '\0' a | "$LEENEST" password >out 2>err
[ $? -eq 2 ] && grep -q 'longer than 1024' err || fell 'a password of 5,000 bytes passes'
printf 'clean straw tonight\r\nand this is not of it\n' | "$LEENEST" password >out 2>err
[ $? -eq 0 ] && grep -q 'password is set' out || fell 'a good one does not'
bad 2 'home.arpa' serve --lan --names barn.example --no-browser --port 0
bad 2 'goes with --lan' serve --names barn.home.arpa --no-browser --port 0

# ---- what listens: each private address, no public one, not all at once ----
serve_start --lan --names barn.home.arpa
plain=$home
lan=https://192.168.7.20:$port
steps=$((steps + 1))
ss -ltnH | awk -v p=":$port$" '$4 ~ p { sub(p, "", $4); print $4 }' | sort >out
printf '%s\n' 10.20.0.3 127.0.0.1 192.168.7.20 192.168.7.21 '[::1]' | sort >wanted
the_same wanted out

# ---- TLS ----
tls() { openssl s_client -connect "192.168.7.20:$port" "$@" </dev/null >out 2>&1; }
steps=$((steps + 6))
tls -tls1_3 && grep -q 'TLSv1.3' out || fell 'no TLS 1.3'
tls -tls1_2 && grep -q 'TLSv1.2' out || fell 'no TLS 1.2'
tls -cipher 'DEFAULT@SECLEVEL=0' -tls1_1 && fell 'TLS 1.1 is taken'
tls -cipher 'DEFAULT@SECLEVEL=0' -tls1 && fell 'TLS 1.0 is taken'
tls && grep -q 'Protocol.*TLSv1.3\|New, TLSv1.3' out || fell 'left to choose, it is not TLS 1.3'
tls && grep -q 'Peer signature type: ECDSA' out || fell 'not signed by an elliptic curve'
door=farm.leenest.door
steps=$((steps + 1))
[ "$(stat -c '%a %a' $door/ | cut -d' ' -f1)" = 700 ] && [ "$(stat -c %a $door/issuer.pem $door/server.pem | sort -u)" = 600 ] ||
    fell "modes: $(stat -c '%a %n' $door $door/*)"
reach 000 '' "$lan/api/session"   # nobody knows this authority
steps=$((steps + 1))
grep -qi 'certificate' err || fell 'refused for another reason'
reach 000 '' "http://192.168.7.20:$port/api/session"   # no page without TLS there

# ---- the authority's file, over plain loopback and over TLS ----
home=$plain
get 200 'BEGIN CERTIFICATE' /api/certificate
head_has '^content-type: *application/x-x509-ca-cert'
head_has '^content-disposition: *attachment; *filename="?leenest-farm.crt'
cp out ca.crt
the_same out $door/authority.crt
home=$lan
get 200 '"secure": *true' /api/session --cacert ca.crt
has '"here": *false'
has '"lan": *true'
has '"address_changed": *false'
reach 200 '' "https://10.20.0.3:$port/api/session" --cacert ca.crt
reach 200 '' "https://barn.home.arpa:$port/api/session" --cacert ca.crt --resolve "barn.home.arpa:$port:192.168.7.20"
reach 000 '' "https://barn.example:$port/api/session" --cacert ca.crt --resolve "barn.example:$port:192.168.7.20"
reach 421 '' "$lan/api/session" --cacert ca.crt -H 'Host: barn.example'
reach 421 '' "$lan/api/session" --cacert ca.crt -H 'Host: 192.168.7.20'
get 401 '' /api/devices --cacert ca.crt

# ---- the start key is the machine's own: not from a phone ----
post 401 '' /api/session "{\"key\": \"$key\"}" --cacert ca.crt
home=$plain
post 200 'this machine' /api/session "{\"key\": \"$key\"}" -c machine

# ---- a password from a phone: the cookie is for TLS alone ----
home=$lan
post 200 'kitchen tablet' /api/session '{"password": "clean straw tonight", "called": "kitchen tablet"}' --cacert ca.crt -c tablet
head_has '^set-cookie: leenest_session=.*Secure'
head_has '^set-cookie:.*; *HttpOnly'
head_has '^set-cookie:.*; *SameSite=Strict'

# ---- pairing ----
home=$plain
post 401 '' /api/pair '{}'
post 200 'svg' /api/pair '{}' -b machine
pairing=$(member key)
has "\"address\": *\"https://barn.home.arpa:$port/#pair=$pairing\""
has '<svg'
home=$lan
post 401 '' /api/session '{"pair": "AAAAAAAAAAAAAAAAAAAAAA", "called": "thief"}' --cacert ca.crt --interface 192.168.7.21
post 200 '"waiting": *true' /api/session "{\"pair\": \"$pairing\", \"called\": \"Wenna's phone\"}" --cacert ca.crt -c phone
get 401 '' /api/devices --cacert ca.crt -b phone           # a yes is wanted first
post 401 'has been used' /api/session "{\"pair\": \"$pairing\", \"called\": \"thief\"}" --cacert ca.crt --interface 192.168.7.21
post 200 '"waiting": *true' /api/session "{\"pair\": \"$pairing\", \"called\": \"Wenna's phone\"}" --cacert ca.crt -b phone
home=$plain
get 200 "Wenna's phone" /api/pair -b machine
number=$(member device)
reach 403 'from elsewhere' "$home/api/pair/yes" -b machine -H 'Content-Type: application/json' \
    -H 'Sec-Fetch-Site: cross-site' --data-binary "{\"device\": $number, \"yes\": true}"
post 200 '' /api/pair/yes "{\"device\": $number, \"yes\": true}" -b machine
get 200 '"waiting": *\[\]' /api/pair -b machine
home=$lan
post 200 "Wenna's phone" /api/session "{\"pair\": \"$pairing\", \"called\": \"Wenna's phone\"}" --cacert ca.crt -b phone
has '"waiting": *false'
get 200 "Wenna's phone" /api/devices --cacert ca.crt -b phone
get 200 '"master": *false' /api/session --cacert ca.crt -b phone
post 403 '' /api/pair '{}' --cacert ca.crt -b phone
post 403 '' /api/password '{"password": "another one now"}' --cacert ca.crt -b phone
# one that is sent away
home=$plain
post 200 '' /api/pair '{}' -b machine
second=$(member key)
home=$lan
post 200 '"waiting": *true' /api/session "{\"pair\": \"$second\", \"called\": \"stranger\"}" --cacert ca.crt -c stranger
home=$plain
get 200 'stranger' /api/pair -b machine
post 200 '' /api/pair/yes "{\"device\": $(member device), \"yes\": false}" -b machine
home=$lan
post 401 'said no' /api/session "{\"pair\": \"$second\", \"called\": \"stranger\"}" --cacert ca.crt -b stranger
get 401 '' /api/devices --cacert ca.crt -b stranger
# neither key nor token is in the file, in what it says, or in what stands beside it
steps=$((steps + 1))
for secret in "$pairing" "$second" "$key" "$(awk '/leenest_session/ { print $7 }' phone)"; do
    [ ${#secret} -ge 22 ] || fell "no secret to look for: $secret"
    grep -qF -- "$secret" farm.leenest serve.err $door/* && fell "a secret is kept: $secret"
done
# ended from the machine
home=$plain
get 200 '' /api/devices -b machine
phone=$(sed -n 's/.*"device": *\([0-9]*\),.*/\1/p; s/.*"called": *"\(Wenna\).*/\1/p' out | grep -B1 Wenna | head -1)
[ -n "$phone" ] || fell 'no phone in the list'
post 200 '' /api/devices/end "{\"device\": ${phone:-0}}" -b machine
home=$lan
get 401 '' /api/devices --cacert ca.crt -b phone

# ---- the sixth try from one address; another still gets in ----
for i in 1 2 3; do post 401 '' /api/session '{"password": "guess number"}' --cacert ca.crt --interface 192.168.7.21; done
post 429 'too many' /api/session '{"password": "clean straw tonight"}' --cacert ca.crt --interface 192.168.7.21   # two wrong keys before
post 200 '' /api/session '{"password": "clean straw tonight"}' --cacert ca.crt --interface 192.168.7.20

# ---- an address changes while it runs ----
print_of() { openssl s_client -connect "$1" </dev/null 2>/dev/null | openssl x509 -noout -fingerprint -sha256; }
before=$(print_of "192.168.7.20:$port")
ip address add 192.168.7.99/24 dev lo
i=0
while ! curl -s --cacert ca.crt -o out "https://192.168.7.99:$port/api/session" && [ $i -lt 60 ]; do sleep 1; i=$((i + 1)); done
reach 200 '"address_changed": *true' "https://192.168.7.99:$port/api/session" --cacert ca.crt
steps=$((steps + 2))
[ "$(print_of "192.168.7.20:$port")" != "$before" ] || fell 'the certificate is the old one'
grep -q 'address' serve.err || fell 'it does not say that the address changed'
get 200 '"signed_in": *true' /api/session --cacert ca.crt -b tablet   # nobody is sent out for it
serve_stop
steps=$((steps + 1))
[ "$server_code" -eq 0 ] || fell "it ends with $server_code"
# ... and between two starts
serve_start --lan --names barn.home.arpa
home=https://192.168.7.99:$port
get 200 '"address_changed": *false' /api/session --cacert ca.crt
serve_stop
ip address del 192.168.7.20/24 dev lo
ip address add 192.168.7.55/24 dev lo
serve_start --lan --names barn.home.arpa
reach 200 '"address_changed": *true' "https://192.168.7.55:$port/api/session" --cacert ca.crt   # the same authority still
serve_stop

# ---- nobody from a public address, even where the machine has one ----
serve_start --lan
steps=$((steps + 1))
ss -ltnH | grep -q '203\.0\.113\.5' && fell 'it listens at a public address'
reach 000 '' "https://10.20.0.3:$port/api/session" --cacert ca.crt --interface 203.0.113.5
serve_stop
steps_end
