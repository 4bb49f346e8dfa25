#!/usr/bin/env bash
# Runs the fuzzers of a build, as many at once as there are cores.
#
#   tests/fuzz/run.sh BUILD [TARGET...]
#
# Each runs for WRACKLINE_FUZZ_SECONDS (300) from the corpus, the regressions, and what earlier runs found worth keeping
# (BUILD/corpus). An input that crashes, breaks an oracle, takes over 20 seconds or 2 GB is a failure and stays in BUILD/found.
set -uo pipefail
here=$(cd "$(dirname "$0")" && pwd)
build=$1
shift
seconds=${WRACKLINE_FUZZ_SECONDS:-300}
if [[ $# -gt 0 ]]; then targets=("$@"); else targets=(change segment bundle exchange_request exchange_reply call http csv); fi
# The databases of the targets lie in the folder for temporary files; in memory they take a tenth of the time.
scratch=""
if [[ -d /dev/shm && -w /dev/shm ]]; then
  scratch=$(mktemp -d /dev/shm/wrackline-fuzz-XXXXXX)
  trap 'rm -rf "$scratch"' EXIT
  export TMPDIR=$scratch
fi

fuzz() {  # target
  local target=$1 found=$build/found/$1 kept=$build/corpus/$1 log=$build/fuzz_$1.log
  local from status before runs speed edges crashes figures
  mkdir -p "$found" "$kept"
  from=("$kept" "$here/corpus/$target")
  if [[ -d $here/regressions/$target ]]; then from+=("$here/regressions/$target"); fi
  before=$(find "$found" -type f | wc -l)
  nice "$build/tests/fuzz/fuzz_$target" -max_total_time="$seconds" -max_len=16384 -timeout=20 -rss_limit_mb=2048 \
    -print_final_stats=1 -artifact_prefix="$found/" "${from[@]}" >"$log" 2>&1
  status=$?
  runs=$(sed -nE 's/^stat::number_of_executed_units: *([0-9]+)/\1/p' "$log" | tail -n 1)
  speed=$(sed -nE 's/^stat::average_exec_per_sec: *([0-9]+)/\1/p' "$log" | tail -n 1)
  edges=$(grep -aoE 'cov: [0-9]+' "$log" | tail -n 1 | grep -oE '[0-9]+')
  crashes=$(($(find "$found" -type f | wc -l) - before))
  figures="${runs:-0} executions in $seconds s (${speed:-0} a second), ${edges:-0} edges, $crashes crashes"
  if [[ $status -eq 0 && $crashes -eq 0 && ${runs:-0} -gt 0 ]]; then
    echo "ok fuzz $target: $figures"
    return 0
  fi
  grep -aE 'BROKEN|ERROR|SUMMARY|runtime error|Test unit written' "$log" | head -n 12
  echo "not ok fuzz $target: $figures; the log is $log, the inputs are in $found"
  return 1
}

failed=0
cores=$(nproc)
for target in "${targets[@]}"; do
  if [[ $(jobs -rp | wc -l) -ge $cores ]]; then wait -n || failed=1; fi
  fuzz "$target" &
done
for target in "${targets[@]}"; do
  wait -n
  status=$?
  if [[ $status -eq 127 ]]; then break; fi  # None is left.
  if [[ $status -ne 0 ]]; then failed=1; fi
done
exit $failed
