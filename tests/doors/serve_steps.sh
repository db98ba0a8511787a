# SPDX-License-Identifier: GPL-3.0-or-later
# Steps for the web door, after tests/doors/steps.sh. Needs curl.
#
#   serve_start WORDS...            leenest serve with those words on a free port: $server (its process), $home, $key, $port
#   serve_stop                      SIGTERM, waits; $server_code
#   get CODE PATTERN PATH WORDS...  GET $home PATH with further words for curl; headers in `headers`, body in `out`
#   post CODE PATTERN PATH BODY WORDS...   POST of JSON as a page of our own would send it
#   head_has PATTERN / head_lacks PATTERN  of the last reply's headers
#   member NAME                     a member of the last body, text or number

command -v curl >/dev/null || { echo 'skipped: no curl here'; exit 77; }
server=
trap 'if [ -n "$server" ]; then kill "$server" 2>/dev/null; fi' EXIT

serve_start() {
    : >serve.out
    "$LEENEST" serve --no-browser --port 0 "$@" >serve.out 2>serve.err </dev/null &
    server=$!
    i=0
    while ! grep -q '#key=' serve.out && [ $i -lt 100 ] && kill -0 "$server" 2>/dev/null; do
        sleep 0.1
        i=$((i + 1))
    done
    home=$(sed -n '1s|/#key=.*||p' serve.out) key=$(sed -n '1s|.*#key=||p' serve.out)
    port=${home##*:}
    [ -n "$home" ] || { fell "leenest serve $* does not start: $(head -3 serve.err)"; steps_end; }
}

serve_stop() {
    kill "$server"
    wait "$server"
    server_code=$?
    server=
}

reach() {   # reach CODE PATTERN URL WORDS...
    want=$1 pattern=$2 url=$3
    shift 3
    steps=$((steps + 1))
    : >out
    code=$(curl -sS -m 60 -o out -D headers -w '%{http_code}' "$@" "$url" 2>err)
    if [ "$code" != "$want" ]; then
        fell "$url answers $code, not $want"
    elif [ -n "$pattern" ] && ! grep -qE -e "$pattern" out; then
        fell "$url does not say /$pattern/"
    fi
}

get() {
    want=$1 pattern=$2 path=$3
    shift 3
    reach "$want" "$pattern" "$home$path" "$@"
}

post() {
    want=$1 pattern=$2 path=$3 body=$4
    shift 4
    reach "$want" "$pattern" "$home$path" -H 'Content-Type: application/json' -H 'Sec-Fetch-Site: same-origin' \
        --data-binary "$body" "$@"
}

head_has() {
    steps=$((steps + 1))
    tr -d '\r' <headers | grep -qiE -e "$1" || fell "no header /$1/"
}

head_lacks() {
    steps=$((steps + 1))
    tr -d '\r' <headers | grep -qiE -e "$1" && fell "a header /$1/"
    return 0
}

member() { sed -n "s/.*\"$1\": *\"\{0,1\}\([^\",}]*\).*/\1/p" out | head -1; }
