#!/usr/bin/env bash
# Builds slotwright as one file that needs nothing of the system it runs on but the kernel, and tries it in a folder that holds
# nothing else but a view of /sys and /proc: snapshot, its codes, read, measure, exercise. A first build takes minutes.
# Usage: bench/static.sh [OUT]      default target/slotwright-static; needs unshare (util-linux) and unprivileged namespaces, or root.
set -eu
cd "$(dirname "$(readlink -f "$0")")/.."
out=${1:-target/slotwright-static}

# musl where its target and C compiler are there: no part of the C library is then left out. Else glibc, which warns that names of
# hosts are looked up by parts that it loads; addresses in digits need none.
if [ -d "$(rustc --print sysroot)/lib/rustlib/x86_64-unknown-linux-musl" ] && command -v musl-gcc >/dev/null; then
    triple=x86_64-unknown-linux-musl
else
    triple=x86_64-unknown-linux-gnu
fi
RUSTFLAGS="-C target-feature=+crt-static" cargo build --release --locked -p slotwright --target "$triple"
built=$(cargo metadata --format-version 1 --no-deps --locked | sed 's/.*"target_directory":"\([^"]*\)".*/\1/')/$triple/release/slotwright
mkdir -p "$(dirname "$out")"
cp "$built" "$out"

fail() { echo "static.sh: $1" >&2; exit 1; }
if readelf -lW "$out" | grep -q INTERP; then fail "$out asks for a loader: it is not static"; fi

root=$(mktemp -d)
trap 'rm -rf "$root"' EXIT
mkdir "$root/sys" "$root/proc" "$root/tmp"
cp "$out" "$root/slotwright"

# It sees nothing but the program, /sys, /proc and an empty /tmp, and has no network.
bound() {
    unshare --map-root-user --mount --pid --fork --net sh -c '
        mount --rbind /sys "$1/sys" && mount --rbind /proc "$1/proc" || exit 99
        root=$1; shift
        exec chroot "$root" /slotwright "$@"' sh "$root" "$@"
}
# What each may end with: 0, or 1 where it has something to tell of this machine.
try() {
    local told=0
    "$@" >"$root/tmp/told" 2>&1 || told=$?
    shift
    [ "$told" -le 1 ] || { cat "$root/tmp/told" >&2; fail "slotwright $* ended with $told"; }
    echo "ok    slotwright $*"
}
try bound --version
try bound snapshot --out /tmp/seen.json
try bound snapshot --qr
try bound read /tmp/seen.json
try bound read "64GB 2Rx4 PC4-2933Y-RB2-12"
try bound measure --size '16 MiB' --runs 1
try bound exercise --size '64 MiB'
grep -q '"slotwright-snapshot": 1' "$root/tmp/seen.json" || fail "the snapshot is none"
echo "$out: $(stat -c %s "$out") bytes, $triple, $(readelf -n "$out" | grep -o 'OS: Linux, ABI: [0-9.]*' || echo 'no least kernel stated')"
