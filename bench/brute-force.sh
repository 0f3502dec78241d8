#!/usr/bin/env bash
# The long form of the planner's proof: random boards of up to SLOTS slots against trying every build.
# Usage: bench/brute-force.sh [BOARDS] [SLOTS]    default 300 boards of up to 7 slots, some minutes on two cores.
set -eu
cd "$(dirname "$(readlink -f "$0")")/.."
export SLOTWRIGHT_BOARDS=${1:-300} SLOTWRIGHT_SLOTS=${2:-7}
exec cargo test --locked -p engine --test it the_front_equals_brute_force -- --nocapture
