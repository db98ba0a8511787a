#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Installs the Debian packages that are missing: `packages.sh build` or `packages.sh test`. Says what it does; says
# nothing when nothing is missing. Needs root or sudo only when something is missing.
set -eu
build='build-essential cmake pkg-config libsqlite3-dev libjansson-dev libsodium-dev libglpk-dev libgsl-dev libical-dev
 libmicrohttpd-dev libgnutls28-dev libqrencode-dev zlib1g-dev libcurl4-gnutls-dev libcmocka-dev tzdata ca-certificates nodejs npm'
test='curl iproute2 openssl liberfa-dev valgrind clang clang-tidy clang-format libclang-rt-14-dev gnutls-bin wrk
 chromium fonts-dejavu-core poppler-utils libnss3-tools man-db git'

case "${1:-build}" in
build) wanted=$build ;;
test)  wanted="$build $test" ;;
*)     echo "packages.sh build|test" >&2; exit 2 ;;
esac

missing=
for package in $wanted; do
    case $package in   # a machine may have its own node; Debian's would stand in its way
    nodejs) command -v node >/dev/null 2>&1 && continue ;;
    npm)    command -v npm >/dev/null 2>&1 && continue ;;
    esac
    dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'install ok installed' || missing="$missing $package"
done
[ -n "$missing" ] || exit 0

if [ "$(id -u)" -eq 0 ]; then
    as_root=
elif command -v sudo >/dev/null 2>&1; then
    as_root=sudo
else
    echo "These Debian packages are missing:$missing" >&2
    echo "Run this as root, or install sudo." >&2
    exit 1
fi
echo "Installing with apt:$missing"
log=$(mktemp)
if ! { $as_root apt-get update -qq &&
       $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing; } >"$log" 2>&1; then
    tail -20 "$log" >&2
    rm -f "$log"
    exit 1
fi
rm -f "$log"
