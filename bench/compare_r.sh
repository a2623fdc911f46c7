#!/usr/bin/env bash
# Measures mixed models beside R on models of the same size in one run: fit with
# Kenward-Roger contrasts on 90 readings and 1,000 bootstrap refits beside lme4,
# pbkrtest, emmeans and bootMer in a running session, and 100,000 readings of
# 10,000 specimens through `fallwright compare`. Prints a table and writes it to OUT.
set -euo pipefail
cd "$(dirname "$0")/.."
out=${OUT:-bench/table_r.got.txt}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
binary=${FALLWRIGHT:-$scratch/fallwright}
[ -n "${FALLWRIGHT:-}" ] || CGO_ENABLED=0 go build -o "$binary" ./cmd/fallwright
awk 'BEGIN { srand(1); print "specimen,condition,fall,peak"; for (s = 0; s < 10000; s++) { b = 200 * rand(); for (f = 1; f <= 10; f++) printf "S%d,c%d,%d,%.2f\n", s, s % 6, f, 8000 + 50 * f + b + 100 * rand() } }' >"$scratch/long.csv"
Rscript refdata/lmm/speed.R >"$scratch/r.txt"
go test ./num/lmm -run '^$' -bench '90|1000' >"$scratch/go.txt"
began=$EPOCHREALTIME
"$binary" compare "$scratch/long.csv" --value peak --specimen specimen --condition condition --fall fall --falls-as trend --df satterthwaite --json >/dev/null
long=$(awk "BEGIN { printf \"%.2f\", $EPOCHREALTIME - $began }")
{
  echo "$(date -u +%F), $(nproc) cores, load $(cut -d' ' -f1 /proc/loadavg); R's seconds, then nanoseconds of ours"
  cat "$scratch/r.txt"
  grep '^Benchmark' "$scratch/go.txt"
  echo "compare, 100,000 readings of 10,000 specimens, whole command: $long s"
} | tee "$out"
