#!/usr/bin/env bash
# Fuzzes a reader with libFuzzer, on a stable toolchain: random and mutated input until SECONDS are over or it breaks.
# Usage: bench/fuzz.sh [TARGET] [SECONDS]    default every target of fuzz/fuzz_targets/, 600 seconds each; one core.
# A find is written to fuzz/found/<target>/; run the target with that file as its argument to see it again.
set -eu
cd "$(dirname "$(readlink -f "$0")")/.."
triple=$(rustc -vV | sed -n 's/^host: //p')
folder=${CARGO_TARGET_DIR:-target}/fuzz
cover="-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-inline-8bit-counters
  -Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares -Ccodegen-units=1 --cfg fuzzing
  -Cdebug-assertions -Coverflow-checks"
targets=${1:-$(ls fuzz/fuzz_targets | sed 's/\.rs$//')}
for target in $targets; do
  # --target keeps build scripts free of the instrumentation.
  RUSTFLAGS=$(echo $cover) cargo build --release --manifest-path fuzz/Cargo.toml --target-dir "$folder" --target "$triple" --bin "$target"
  mkdir -p "fuzz/corpus/$target" "fuzz/found/$target" "fuzz/seeds/$target"
  echo "== $target, ${2:-600} s"
  nice "$folder/$triple/release/$target" "fuzz/corpus/$target" "fuzz/seeds/$target" \
    -max_total_time="${2:-600}" -artifact_prefix="fuzz/found/$target/" -print_final_stats=1 -verbosity=1
done
