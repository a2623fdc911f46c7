#!/usr/bin/env bash
# Measures mixed models beside R in one run. 90 readings of 6 conditions, 3 specimens
# and 5 falls are written once and read by both: a fit with its 25 Kenward-Roger
# contrasts beside lme4, pbkrtest and emmeans in a running session, and 1,000
# bootstrap refits beside bootMer on one core, ours on one and on two. Then 100,000
# readings of 10,000 specimens through `fallwright compare`. It stops where the two
# do not give the same contrast; prints a table and writes it to OUT.
set -euo pipefail
cd "$(dirname "$0")/.."
out=${OUT:-bench/table_r.got.txt}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
binary=${FALLWRIGHT:-$scratch/fallwright}
[ -n "${FALLWRIGHT:-}" ] || CGO_ENABLED=0 go build -o "$binary" ./cmd/fallwright
normal='function normal() { return sqrt(-2 * log(1 - rand())) * cos(6.283185307179586 * rand()) }'
awk "$normal"' BEGIN { srand(1); print "specimen,condition,fall,peak"; for (s = 0; s < 18; s++) { b = 200 * normal(); for (f = 1; f <= 5; f++) printf "S%d,c%d,%d,%.2f\n", s, s % 6, f, 8000 + 250 * f + b + 100 * normal() } }' >"$scratch/short.csv"
awk "$normal"' BEGIN { srand(2); print "specimen,condition,fall,peak"; for (s = 0; s < 10000; s++) { b = 200 * normal(); for (f = 1; f <= 10; f++) printf "S%d,c%d,%d,%.2f\n", s, s % 6, f, 8000 + 50 * f + b + 100 * normal() } }' >"$scratch/long.csv"
go test -c -o "$scratch/compare.test" ./compare
Rscript refdata/lmm/speed.R "$scratch/short.csv" >"$scratch/r.txt"
"$scratch/compare.test" -test.run '^TestBesideR$' -readings "$scratch/short.csv" | grep -v '^PASS' >"$scratch/go.txt"
if [ "$(grep '^contrasts' "$scratch/r.txt" | cut -c1-60)" != "$(grep '^contrasts' "$scratch/go.txt" | cut -c1-60)" ]; then
  grep -h '^contrasts' "$scratch/r.txt" "$scratch/go.txt" >&2
  exit 1
fi
# long FALLS-AS DF: seconds of one whole command
long() {
  local began=$EPOCHREALTIME
  "$binary" compare "$scratch/long.csv" --value peak --specimen specimen --condition condition --fall fall --falls-as "$1" --df "$2" --json >/dev/null
  awk "BEGIN { printf \"%.2f s\", $EPOCHREALTIME - $began }"
}
{
  echo "$(date -u +%F), $(nproc) cores, load $(cut -d' ' -f1 /proc/loadavg)"
  sed 's/^/R:          /' "$scratch/r.txt"
  sed 's/^/fallwright: /' "$scratch/go.txt"
  for falls in levels trend trend-per-specimen; do
    for df in kenward-roger satterthwaite; do
      echo "compare, 100,000 readings of 10,000 specimens, $falls, $df, whole command: $(long "$falls" "$df")"
    done
  done
  awk -F'[:,] *' '
    FNR == NR { if (/contrasts:/ && !/^contrasts/) r = substr($3, 11); if (/refits/) b = substr($3, 11); next }
    /^fit/ { printf "processor time, R over fallwright: fit and contrasts %.0f x", r / substr($3, 11) }
    /^1000 refits, 1/ { printf ", refits %.0f x\n", b / substr($4, 11) }' "$scratch/r.txt" "$scratch/go.txt"
} | tee "$out"
