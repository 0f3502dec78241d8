#!/usr/bin/env bash
# How far the tests that diagnose chooses are from the optimum, on every demo case that is past its budget of histories: the optimum
# by the same dynamic programming with room for 12 million histories (about 1 GB), the way exactly evaluated, answer by answer.
# Usage: bench/optimum.sh    minutes to an hour; about 45 s of a core for each of the largest cases.
set -eu
cd "$(dirname "$(readlink -f "$0")")/.."
export SLOTWRIGHT_OPTIMUM=all
exec cargo test --release --locked -p slotwright --test it the_look_ahead_is_near -- --nocapture
