#!/usr/bin/env bash
# Proves that the shop's API answers as its OpenAPI document declares, and never with a fault of its own, whatever is sent.
# Usage: bench/api.sh [CASES [SEED]]      300 cases for each address and seed 1 if not given; six minutes for 25 cases
# Needs `schemathesis` (PyPI, 4.x) in PATH; PROGRAM is the program, else target/debug/slotwright. STORE, where set, is the store
# (an empty one, such as postgres://…); else a file that is thrown away.
set -eu
cd "$(dirname "$(readlink -f "$0")")/.."
program=$(readlink -f "${PROGRAM:-target/debug/slotwright}")
folder=$(mktemp -d)
store=${STORE:-$folder/shop.db}
server=
trap '[ -z "$server" ] || kill "$server"; rm -rf "$folder"' EXIT
"$program" --store "$store" store invent --modules 300 --orders 12
scopes=stock:read,stock:write,orders:read,orders:write,quotes:read,quotes:write,allocate:read,allocate:write
token=$("$program" --store "$store" store token new "api trial" --scope "$scopes")
"$program" --store "$store" serve --listen 127.0.0.1:0 > "$folder/said" &
server=$!
for _ in $(seq 50); do grep -q listening "$folder/said" && break; sleep 0.1; done
base=$(sed -n 's/^listening on //p' "$folder/said")
# Once with any numbers in the paths, and once with those of things that are there, so that calls get past "there is no such thing".
touch "$folder/any.toml"
cat > "$folder/there.toml" <<'TOML'
[parameters]
"path.order" = "3"
"path.quote" = "1"
"path.item" = 5
"path.batch" = 1
"path.failure" = 3
"path.allocation" = 1
TOML
# One check is left out: that all that the schema allows is accepted. No schema knows what the shop has.
for numbers in any there; do
  (cd "$folder" && schemathesis --config-file "$numbers.toml" run "$base/api/v1/openapi.json" --url "$base" \
    -H "Authorization: Bearer $token" --max-examples "${1:-300}" --seed "${2:-1}" --phases coverage,fuzzing \
    --continue-on-failure --exclude-checks positive_data_acceptance --no-color)
done
"$program" --store "$store" store check
