#!/usr/bin/env bash
# Holds `slotwright measure` against what C and numpy reach on this machine, in turn, several times; the best median of each counts.
# Usage: bench/measure.sh PROGRAM [ROUNDS [THREADS [MIB]]]    Needs gcc and an x86-64 processor with AVX2; numpy if it is there.
set -eu
cd "$(dirname "$(readlink -f "$0")")"
program=$(command -v "$1") rounds=${2:-3} threads=${3:-$(nproc)} mib=${4:-256} runs=9
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
gcc -O3 -march=native -pthread measure.c -o "$folder/measure"
cat >"$folder/copy.py" <<'PY'
import sys, time
try:
    import numpy
except ImportError:
    sys.exit(0)
count, runs = int(sys.argv[1]) << 17, int(sys.argv[2])
a, b = numpy.ones(count), numpy.ones(count)
rates = []
for _ in range(runs + 1):
    start = time.perf_counter()
    numpy.copyto(a, b)
    rates.append(16 * count / (time.perf_counter() - start) / 1e9)
rates = sorted(rates[1:])
print("numpy-copy", rates[len(rates) // 2], rates[-1])
PY
for round in $(seq "$rounds"); do
  # 1 means short of a build, which is an answer too.
  "$program" measure --json --runs "$runs" --threads "$threads" --size "$mib MiB" >"$folder/ours-$round.json" || [ $? = 1 ]
  "$folder/measure" "$threads" "$mib" "$runs" >"$folder/c-$round.txt"
  python3 "$folder/copy.py" "$mib" "$runs" >>"$folder/c-$round.txt"
done
python3 - "$folder" "$rounds" <<'PY'
import json, sys
folder, rounds = sys.argv[1], int(sys.argv[2])
ours, theirs = {}, {}
def keep(table, name, value, better):
    table[name] = better(table.get(name, value), value)
for round in range(1, rounds + 1):
    pair = json.load(open(f"{folder}/ours-{round}.json"))["tables"][0]
    for stream in pair["streams"]:
        keep(ours, stream["stream"], stream["gbs"]["median"], max)
    keep(ours, "latency", pair["latency_ns"]["median"], min)
    for line in open(f"{folder}/c-{round}.txt"):
        name, median, _ = line.split()
        keep(theirs, name, float(median), min if name == "latency" else max)
print(f"{'':12}{'ours':>9}{'theirs':>9}{'share':>9}")
for name in theirs:
    mine = ours.get(name)
    shown = f"{mine:9.1f}{theirs[name]:9.1f}{mine / theirs[name] * 100:8.1f} %" if mine else f"{'':9}{theirs[name]:9.1f}"
    print(f"{name:12}{shown}")
best = max(v for k, v in theirs.items() if k != "latency")
mine = max(v for k, v in ours.items() if k != "latency")
print(f"best bandwidth: {mine:.1f} of {best:.1f} GB/s, {mine / best * 100:.1f} % (goal 98 % or more)")
print(f"latency: {ours['latency']:.1f} against {theirs['latency']:.1f} ns, {(ours['latency'] / theirs['latency'] - 1) * 100:+.1f} % (goal within 10 %)")
PY
