#!/usr/bin/env bash
# Figures of the tablet app, built as it is shipped: tests/tablet/bench.sh BUILD_DIR [DAYS]
set -euo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
build=$(cd "$1" && pwd)
"$root/tests/install" tablet
"$root/platform-shims/apps/tablet/build" --wasm "$root/build-wasm" >"$build/tablet.log" 2>&1 || { tail -n 40 "$build/tablet.log"; exit 1; }
"$root/platform-shims/apps/tablet/sign" "$build/sync-server/wrackline-server" "$root/platform-shims/apps/tablet/dist" >/dev/null
node "$root/tests/tablet/bench.mjs" "$build" "$root/platform-shims/apps/tablet/dist" "$build/screens" "${2:-1500}"
"$root/platform-shims/bindings/wasm/build" "$root/build-wasm" wrackline_wasm_exchange >/dev/null
# The same test, though of another seed, natively and in WebAssembly: how much slower it is.
seconds() {
  local from
  from=$(date +%s%N)
  "$@" >/dev/null
  echo $((($(date +%s%N) - from) / 1000000))
}
native=$(seconds "$build/tests/wrackline_lossy_exchange")
wasm=$(seconds node --no-experimental-fetch "$root/build-wasm/platform-shims/bindings/wasm/wrackline_wasm_exchange.js")
printf '%-62s%10s  ms\n' "the lossy exchange test, natively" "$native" "the lossy exchange test, WebAssembly in node" "$wasm"
awk -v n="$native" -v w="$wasm" 'BEGIN { printf "%-62s%9.2fx\n", "WebAssembly against native", w / n }'
