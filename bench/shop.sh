#!/usr/bin/env bash
# Long forms of the store's trials: sixteen workers on one stock, and kills at any point of an intake, a promise,
# an allocation, a quote's next version, the order of a quote, the report of a failure.
# Usage: bench/shop.sh [SECONDS [KILLS]]      120 on each database and 200 if not given
# PostgreSQL is tried too where SLOTWRIGHT_TEST_POSTGRES holds the URL of a server on which databases may be made; the kills use
# the database of that URL itself, which should be empty.
set -eu
cd "$(dirname "$(readlink -f "$0")")/.."
LASTS=${1:-120} cargo test -p store --test it sixteen -- --nocapture
KILLS=${2:-200} cargo test -p slotwright --test it kills -- --nocapture
