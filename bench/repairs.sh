#!/usr/bin/env bash
# The long form of the simulated repairs: the tests that diagnose chooses against three habits, on all demo boards.
# Usage: bench/repairs.sh [REPAIRS]    default 10080; about 20 seconds on an idle core.
set -eu
cd "$(dirname "$(readlink -f "$0")")/.."
export SLOTWRIGHT_REPAIRS=${1:-10080}
exec cargo test --locked -p slotwright --test it the_tests_that_are_chosen -- --nocapture
