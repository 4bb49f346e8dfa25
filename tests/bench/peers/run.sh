#!/usr/bin/env bash
# Wrackline, plain SQLite and general-purpose sync libraries at the same work, one after the other on this machine.
#
#   tests/bench/peers/run.sh BUILD_DIR     prints the table; leaves it in BUILD_DIR/peers.md and peers.svg
#
# The measured work stands in measure.mjs and in tests/bench/bench.cc. Takes some minutes; nothing else should run
# meanwhile.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
build=$(cd "$1" && pwd)
"$here/../../install" tablet  # node, npm, zstd
cd "$here"
"$here/../../npm-packages" "$here"
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
"$build/tests/bench/wrackline_bench" --figures "$scratch/wrackline.json"
for library in yjs loro automerge pouchdb; do
  echo "$library" >&2
  mkdir -p "$scratch/single" "$scratch/batch" "$scratch/merge/mine" "$scratch/merge/theirs"
  for step in single:single batch:batch open:batch prepare:merge merge:merge; do
    node measure.mjs "$library" "${step%%:*}" "$scratch/${step##*:}" | tee /dev/stderr >>"$scratch/$library.jsonl"
  done
  rm -rf "${scratch:?}/single" "$scratch/batch" "$scratch/merge"
done
"$build/tests/bench/wrackline_limits" >"$scratch/limits.json"
node table.mjs "$scratch" "$build"
