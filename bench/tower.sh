#!/usr/bin/env bash
# Measures one fall to rest beside SciPy's solve_ivp: the same fall, method
# (Dormand-Prince), tolerance of a step and events, in one run, best of RUNS.
#
#   bench/tower.sh
#   RUNS=3 PYTHON=python3 bench/tower.sh
set -euo pipefail
cd "$(dirname "$0")/.."
runs=${RUNS:-5} python=${PYTHON:-/usr/bin/python3}

ours=$(go test ./fall -run '^$' -bench '^BenchmarkToRest$' -benchtime 2000x -count "$runs")
theirs=$("$python" bench/tower_scipy.py "$runs")
echo "one fall to rest, step tolerance 1e-7; best of $runs; $(date -u +%F); $(nproc) cores, load $(cut -d' ' -f1 /proc/loadavg)"
for law in stiffening sliding; do
  us=$(awk -v law="$law" '$1 ~ "/" law { v = $3 / 1000; if (!n++ || v < best) best = v } END { printf "%.0f", best }' <<<"$ours")
  them=$(awk -v law="$law" '$1 == law { print $2 }' <<<"$theirs")
  awk -v law="$law" -v a="$us" -v b="$them" 'BEGIN { printf "%-12s fallwright %6.0f us   SciPy %8.0f us   ratio %5.0f\n", law, a, b, b / a }'
done
awk '{ print "SciPy,", $1 ": peak", $3, "N, at rest after", $4, "s" }' <<<"$theirs"
