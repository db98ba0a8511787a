#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A browser and the farm's certificate: Chromium takes it once the authority is trusted, and takes nothing signed with the
# farm's own key for a name or address outside its limits. GnuTLS's command line is a second witness.
if [ "${1:-}" != inside ]; then
    browser=${CHROMIUM:-/usr/bin/chromium}
    [ -x "$browser" ] || { echo 'skipped: no Chromium here'; exit 77; }
    for tool in unshare ip openssl certutil curl gnutls-cli; do
        command -v $tool >/dev/null || { echo "skipped: no $tool here"; exit 77; }
    done
    new=-n
    [ "$(id -u)" -eq 0 ] || new=-rn
    unshare $new ip link set lo up 2>/dev/null || { echo 'skipped: no network of its own to be had'; exit 77; }
    exec unshare $new sh "$0" inside
fi
browser=${CHROMIUM:-/usr/bin/chromium}
ip link set lo up
for a in 192.168.7.20/24 203.0.113.5/24; do ip address add $a dev lo; done
. tests/doors/steps.sh
. "$project/tests/doors/serve_steps.sh"
unset LEENEST_FARM
good 'Recorded' record farm --name Larkmoor --lat 54.62 --lon -2.41 --zone Europe/London
steps=$((steps + 1))
printf 'clean straw tonight\n' | "$LEENEST" password >out 2>err || fell password
serve_start --lan --names barn.home.arpa
door=farm.leenest.door

# ---- the browser, with a home of its own ----
HOME=$PWD/home
export HOME
mkdir -p "$HOME/.pki/nssdb"
certutil -d "sql:$HOME/.pki/nssdb" -N --empty-password
page() {   # page URL: what the browser shows, into out
    timeout 90 "$browser" --headless --no-sandbox --disable-gpu --no-first-run --user-data-dir="$PWD/profile" \
        --host-resolver-rules='MAP *.arpa 192.168.7.20, MAP *.example 192.168.7.20' --dump-dom "$1" >out 2>page.err </dev/null
}
shows() {
    steps=$((steps + 1))
    page "$1"
    grep -q "$2" out || fell "the browser does not show $1"
}
refuses() {
    steps=$((steps + 1))
    page "$1"
    grep -q "$2" out && fell "the browser shows $1"
    [ -s out ] || grep -q . page.err || fell "the browser did not run for $1"
}
refuses "https://192.168.7.20:$port/api/session" signed_in   # not trusted yet
certutil -d "sql:$HOME/.pki/nssdb" -A -t 'C,,' -n farm -i $door/authority.crt
rm -rf profile
shows "https://192.168.7.20:$port/api/session" signed_in
shows "https://barn.home.arpa:$port/api/session" signed_in

# ---- a thief with the farm's key ----
openssl ecparam -name prime256v1 -genkey -noout -out thief.key 2>/dev/null
sed -n '/BEGIN CERT/,/END CERT/p' $door/issuer.pem | sed '/END CERT/q' >issuer.crt
thief() {   # thief NAME SAN: a certificate for it, and a server that shows it, at $thief_port
    [ -z "${thieving:-}" ] || kill $thieving 2>/dev/null
    printf 'subjectAltName=%s\nextendedKeyUsage=serverAuth\nbasicConstraints=critical,CA:FALSE\n' "$2" >ext
    openssl req -new -key thief.key -subj "/CN=$1" -out thief.csr 2>/dev/null
    openssl x509 -req -in thief.csr -CA issuer.crt -CAkey $door/issuer.pem -days 30 -extfile ext -out thief.crt \
        -set_serial "$(date +%s%N)" 2>/dev/null || fell 'no certificate could be forged, so nothing is proved'
    thief_port=$((20000 + (steps * 37 + $$) % 20000))
    openssl s_server -accept "192.168.7.20:$thief_port" -cert thief.crt -key thief.key -cert_chain issuer.crt -www \
        >/dev/null 2>&1 </dev/null &
    thieving=$!
    openssl s_server -accept "203.0.113.5:$thief_port" -cert thief.crt -key thief.key -cert_chain issuer.crt -www \
        >/dev/null 2>&1 </dev/null &
    thieving="$thieving $!"
    sleep 1
}
trusted() { gnutls-cli --x509cafile $door/authority.crt --verify-hostname "$1" -p "$thief_port" 192.168.7.20 </dev/null >says 2>&1; }
thief other.home.arpa DNS:other.home.arpa
shows "https://other.home.arpa:$thief_port/" s_server         # within the limits: what follows is no accident
steps=$((steps + 1))
trusted other.home.arpa || { cp says out; fell 'GnuTLS refuses what is within the limits'; }
for name in bank.example home.arpa.example; do
    thief $name DNS:$name
    refuses "https://$name:$thief_port/" s_server
    steps=$((steps + 1))
    trusted $name && fell "GnuTLS takes $name"
done
thief other.home.arpa DNS:other.home.arpa,DNS:bank.example    # one good name does not carry a bad one
refuses "https://bank.example:$thief_port/" s_server
thief 203.0.113.5 IP:203.0.113.5
refuses "https://203.0.113.5:$thief_port/" s_server
kill $thieving 2>/dev/null
serve_stop
steps_end
