#!/usr/bin/env bash
# Measures `fallwright read` beside the same job in pandas and SciPy: one long
# file, a folder of short ones, and the filter alone, on the same data in one
# run, in turn, best of RUNS, by the clock and by the processor's time, which other
# work on the machine disturbs less. Prints a table and writes it to OUT.
#
#   bench/compare.sh                                the full sizes, some minutes
#   ROWS=200000 FILES=50 RUNS=1 bench/compare.sh    a quick look
#
# ROWS, FILES, FILE_ROWS: sizes. FALLWRIGHT: a binary, else it is built. PYTHON:
# one with pandas and SciPy. DATA: a folder for the traces, kept and used again.
set -euo pipefail
cd "$(dirname "$0")/.."
rows=${ROWS:-5000000} files=${FILES:-1000} file_rows=${FILE_ROWS:-20000} runs=${RUNS:-3}
python=${PYTHON:-/usr/bin/python3} out=${OUT:-bench/table.got.txt}

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
data=${DATA:-$scratch/data}
binary=${FALLWRIGHT:-$scratch/fallwright}
[ -n "${FALLWRIGHT:-}" ] || CGO_ENABLED=0 go build -o "$binary" ./cmd/fallwright
long=$data/long-$rows.csv folder=$data/$files-of-$file_rows
mkdir -p "$data"
[ -e "$long" ] || "$python" bench/make_traces.py "$rows" 1 "$long"
if ! [ -d "$folder" ]; then
  mkdir -p "$folder.part"
  seq -f "$folder.part/fall-%06.0f.csv" "$files" | xargs "$python" bench/make_traces.py "$file_rows" 2
  mv "$folder.part" "$folder"
fi
short=("$folder"/*.csv)
cat "$long" "${short[@]}" >/dev/null # into the page cache, for both

# run NAME COMMAND...: seconds, seconds of processor and kilobytes of one run, each
# kept when the least.
declare -A seconds work memory
least() { if [ -z "$1" ] || awk "BEGIN { exit !($2 < $1) }"; then echo "$2"; else echo "$1"; fi; }
run() {
  local name=$1 begun took cpu kb
  shift
  begun=$EPOCHREALTIME
  /usr/bin/time -f "%U %S %M" -o "$scratch/kb" "$@" >"$scratch/$name.json" || [ $? = 3 ] # 3: done, with findings
  took=$(awk "BEGIN { printf \"%.3f\", $EPOCHREALTIME - $begun }")
  read -r cpu kb < <(tail -n 1 "$scratch/kb" | awk '{ print $1 + $2, $3 }')
  seconds[$name]=$(least "${seconds[$name]:-}" "$took")
  work[$name]=$(least "${work[$name]:-}" "$cpu")
  memory[$name]=$(least "${memory[$name]:-}" "$kb")
}
ours=("$binary" read --cfc 60 --mass 80 --drop 1.5 --json)
for ((i = 0; i < runs; i++)); do
  run long_ours "${ours[@]}" "$long"
  run long_theirs "$python" bench/pandas_read.py "$long"
  run folder_ours "${ours[@]}" "${short[@]}"
  run folder_theirs "$python" bench/pandas_read.py "${short[@]}"
done

# The same answers, or the figures compare nothing. Energies leave most room:
# they stand on where a contact begins.
"$python" - "$scratch" <<'PY'
import json, sys
for name in ("long", "folder"):
    ours, theirs = (json.load(open(f"{sys.argv[1]}/{name}_{who}.json")) for who in ("ours", "theirs"))
    ours = ours if isinstance(ours, list) else ours.get("readings", ours.get("rows"))
    assert len(ours) == len(theirs) > 0, f"{name}: {len(ours)} and {len(theirs)} readings"
    for key, room in {"peak_force_N": 1e-3, "impulse_first_Ns": 0.01, "max_stretch_m": 0.02, "energy_in_J": 0.02}.items():
        for a, b in zip(ours, theirs):
            assert a[key] is not None and abs(a[key] - b[key]) <= room * abs(b[key]), f"{name}: {key} {a[key]} and {b[key]} in {b['file']}"
PY

theirs=$("$python" bench/pandas_read.py --filter "$rows")
one=$(go test ./num/dsp -run '^$' -bench '^BenchmarkPhaseless5Million$' -benchtime 5x -count 5 | awk '/^Benchmark/ { if (!n++ || $3 < best) best = $3 } END { print best / 5e6 * 1e-9 }')
mb() { awk "BEGIN { printf \"%.0f\", $1 / 1024 }"; }
row() { awk -v what="$1" -v a="$2" -v b="$3" -v ac="$4" -v bc="$5" -v am="$6" -v bm="$7" 'BEGIN {
  printf "%-36s %8.3f s %8.3f s %6.1f x", what, a, b, b / a
  if (ac > 0) printf " %8.2f s %8.2f s %6.1f x %5s MB %5s MB", ac, bc, bc / ac, am, bm
  print ""
}'; }
both() { row "$2" "${seconds[$1_ours]}" "${seconds[$1_theirs]}" "${work[$1_ours]}" "${work[$1_theirs]}" "$(mb "${memory[$1_ours]}")" "$(mb "${memory[$1_theirs]}")"; }
{
  echo "$("$binary" --version 2>/dev/null || echo fallwright) beside $("$python" -c 'import platform, pandas, scipy; print("Python", platform.python_version(), "pandas", pandas.__version__, "SciPy", scipy.__version__)')"
  echo "best of $runs; $(date -u +%F); $(nproc) cores; load average $(cut -d ' ' -f 1 /proc/loadavg); samples of the long file: $(mb $((rows * 16 / 1024))) MB"
  printf '%-36s %10s %10s %8s %10s %10s %8s %8s %8s\n' '' fallwright pandas ratio processor pandas ratio memory pandas
  both long "read, $rows rows"
  both folder "read, $files files of $file_rows rows"
  row "CFC 60 filter, $rows samples" "$(awk "BEGIN { print $one * $rows }")" "$theirs" 0 0 - -
} | tee "$out"
