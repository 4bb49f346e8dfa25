#!/usr/bin/env bash
# The tablet app: built, its sources checked, and driven in Debian's Chromium against a real hub.
#
#   tests/tablet/run.sh BUILD_DIR WASM_BUILD_DIR [RUN...]     RUN: shift keeper files desk admin tablets screens trust pace; none = all
#
# Pictures of all screens are left in BUILD_DIR/screens. Prints `ok NAME` or `not ok NAME: why`.
set -uo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
build=$(cd "$1" && pwd)
wasm=$2
shift 2
app=$root/platform-shims/apps/tablet
log=$build/tablet.log
"$root/tests/install" tablet || exit 1

runs=("$@")
if [[ $# -eq 0 ]]; then runs=(keeper files desk admin tablets screens shift trust pace); fi  # Long ones first.
if ! { "$app/build" --wasm "$wasm" && cd "$app" && VITE_VERSION=0.1.0-next nice npx vite build --logLevel warn --outDir dist-next && ./sign "$build/sync-server/wrackline-server" dist dist-next; } >"$log" 2>&1; then
  tail -n 40 "$log"
  echo "not ok the_app_builds: see above"
  exit 1
fi
echo "ok the_app_builds"
if grep -q '"resolved"' package-lock.json; then
  echo "not ok the_lock_file_holds_no_addresses: it does"
else
  echo "ok the_lock_file_holds_no_addresses"
fi
# Two at a time, each in a world of its own: they wait for pages more than they reckon. The output of each is shown when it has
# ended.
said=$(mktemp -d)
trap 'rm -rf "$said"' EXIT
trap 'exit 1' INT TERM HUP
check_sources() {
  if { nice npx eslint . && npx prettier --check .; } >"$log" 2>&1; then
    echo "ok the_apps_sources_are_clean"
  else
    tail -n 20 "$log"
    echo "not ok the_apps_sources_are_clean: see above"
  fi
}
# A browser may stop answering altogether, once in some hundred runs; its driver then waits for ever, and ends by no gentler signal.
# Such a run, and no other, is begun once more.
play() {  # run
  local status=0 tries
  for tries in 1 2; do
    timeout --kill-after=10 400 node "$root/tests/tablet/$1.mjs" "$build" "$app/dist" "$build/screens" "$app/dist-next" >"$said/$1.now"
    status=$?
    if [[ $tries -eq 2 || ($status -ne 124 && $status -ne 137) ]]; then break; fi
    echo "# $1.mjs stood still for minutes and is run once more; until then it said:"
    sed 's/^/#   /' "$said/$1.now"
  done
  cat "$said/$1.now"
  if [[ $status -ne 0 ]]; then echo "not ok $1.mjs_ends_well: it ended with status $status"; fi
}
check_sources >"$said/sources" 2>&1 &
checking=$!
for run in "${runs[@]}"; do
  while [[ $(jobs -pr | grep -cvx "$checking") -ge 2 ]]; do wait -n; done
  play "$run" >"$said/$run" 2>&1 &
done
wait
cat "$said/sources"
for run in "${runs[@]}"; do
  echo "# $run.mjs"
  cat "$said/$run"
done
