#!/usr/bin/env bash
# Measures one fall to rest beside SciPy's solve_ivp: the same fall, method
# (Dormand-Prince) and events, in one run, best of RUNS, processor time. SciPy has
# the tolerance of a step that fallwright has over the first contact throughout,
# and again with the coarser one that fallwright goes on with after it.
#
#   bench/tower.sh
#   RUNS=3 PYTHON=python3 bench/tower.sh
set -euo pipefail
cd "$(dirname "$0")/.."
runs=${RUNS:-5} python=${PYTHON:-/usr/bin/python3}

ours=$(go test ./fall -run '^$' -bench '^BenchmarkToRest$' -benchtime 2000x -count "$runs")
theirs=$("$python" bench/tower_scipy.py "$runs")
echo "one fall to rest, accuracy 1e-6; best of $runs, processor time; $(date -u +%F); $(nproc) cores, load $(cut -d' ' -f1 /proc/loadavg)"
for law in stiffening sliding; do
  us=$(awk -v law="$law" '$1 ~ "/" law { v = $5; if (!n++ || v < best) best = v } END { printf "%.1f", best }' <<<"$ours")
  awk -v law="$law" -v a="$us" '$1 == law { printf "%-12s fallwright %6.1f us   SciPy at %s %8.0f us   ratio %5.0f\n", law, a, $2, $3, $3 / a }' <<<"$theirs"
done
awk '{ print "SciPy,", $1, "at", $2 ": peak", $4, "N, at rest after", $5, "s" }' <<<"$theirs"
