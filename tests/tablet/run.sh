#!/usr/bin/env bash
# The tablet app: built, its sources checked, and driven in Debian's Chromium against a real hub.
#
#   tests/tablet/run.sh BUILD_DIR WASM_BUILD_DIR [RUN...]     RUN: shift keeper files desk admin tablets screens; none = all
#
# Pictures of all screens are left in BUILD_DIR/screens. Prints `ok NAME` or `not ok NAME: why`.
set -uo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
build=$(cd "$1" && pwd)
wasm=$2
shift 2
app=$root/platform-shims/tablet
log=$build/tablet.log
"$root/tests/install" tablet || exit 1

runs=("$@")
if [[ $# -eq 0 ]]; then runs=(shift keeper files desk admin tablets screens); fi
if ! { "$app/build" --wasm "$wasm" && cd "$app" && VITE_VERSION=0.1.0-next nice npx vite build --logLevel warn --outDir dist-next; } >"$log" 2>&1; then
  tail -n 40 "$log"
  echo "not ok the_app_builds: see above"
  exit 1
fi
echo "ok the_app_builds"
if nice npx eslint . >"$log" 2>&1 && npx prettier --check . >>"$log" 2>&1; then
  echo "ok the_apps_sources_are_clean"
else
  tail -n 20 "$log"
  echo "not ok the_apps_sources_are_clean: see above"
fi
if grep -q '"resolved"' package-lock.json; then
  echo "not ok the_lock_file_holds_no_addresses: it does"
else
  echo "ok the_lock_file_holds_no_addresses"
fi
for run in "${runs[@]}"; do
  # A run that hangs is a failure like any other.
  timeout 600 node "$root/tests/tablet/$run.mjs" "$build" "$app/dist" "$build/screens" "$app/dist-next" ||
    echo "not ok $run.mjs_ends_well: it ended with status $?"
done
