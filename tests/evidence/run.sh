#!/usr/bin/env bash
# Evidence files as an outsider meets them: written by `wrack evidence`, checked by wrackline-evidence and, from the
# description of the file alone, by check.py with openssl; both must agree, on good files and on altered ones.
#
#   tests/evidence/run.sh BUILD_DIR
#
# Prints `ok NAME` or `not ok NAME: why` for each test, `SKIPPED WHAT: why` where this machine lacks something; exits 1
# when one failed. Method: the invented centre's desk, no hub under way.
set -uo pipefail
build=$(cd "${1:?usage: tests/evidence/run.sh BUILD_DIR}" && pwd)
here=$(cd "$(dirname "$0")" && pwd)
verifier=$build/platform-shims/evidence/wrackline-evidence
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

passes() { echo "ok $1"; }
fails() { echo "not ok $1: $2"; failed=1; }
# NAME, exit code wanted, words the output must have, command: ...
tells() {
  local name=$1 wanted=$2 words=$3 out rc=0
  shift 3
  out=$("$@" 2>&1 </dev/null) || rc=$?
  if [[ $rc -ne $wanted ]]; then fails "$name" "exit $rc instead of $wanted: $(tail -n 1 <<<"$out")"
  elif ! grep -qF -- "$words" <<<"$out"; then fails "$name" "\"$words\" is not in: $(head -c 300 <<<"$out" | tr '\n' ' ')"
  else passes "$name"; fi
}

"$build/platform-shims/demo-data/wrackline-demo-data" --days 120 "$work/centre" >"$work/log" 2>&1 || { fails "the centre is made" "$(tail -n 1 "$work/log")"; exit 1; }
wrack() { "$build/platform-shims/cli/wrack" --dir "$work/centre/desk" --as "Tove Holm" "$@"; }

# ---- A record that two people had given values to ---------------------------------------------------------
record=$(wrack review --json | python3 -c 'import json,sys; print(next(r["records"][0]["id"] if isinstance(r["records"][0], dict) else r["records"][0] for r in json.load(sys.stdin)["items"] if r["rule"] == "disagreement"))' 2>"$work/log")
[[ -n $record ]] || record=$(wrack list treatment_order --json | grep -o '"id": "[0-9a-f.]*"' | head -n 1 | cut -d'"' -f4)
[[ -n $record ]] || { fails "there is a record to show" "$(tail -n 1 "$work/log")"; exit 1; }
good=$work/good.evidence
tells "evidence is written, and tells what else is in it" 0 "of other records, people and animals are in the file too" wrack evidence "$record" --file "$good"
key=$(sed -n '1s/.*"hub_key":"\([0-9a-f]*\)".*/\1/p' "$good")
tells "the verifier finds it good and tells its history" 0 "Record $record" "$verifier" "$good" --hub-key "$key"
tells "without the hub's key it says what to compare" 0 "compare it with what you know from elsewhere" "$verifier" "$good"
tells "with another hub's key it is bad" 1 "whose key was given" "$verifier" "$good" --hub-key "${key//[0-9]/a}"
tells "a missing file is a matter of usage" 2 "cannot open" "$verifier" "$work/none"
tells "so is a key of another length" 2 "64 hexadecimal digits" "$verifier" "$good" --hub-key 12
tells "and no file at all" 2 "file is required" "$verifier"
tells "whole logs hold" 0 "nothing of the logs that the records stand in was left out" \
  sh -c "'$build/platform-shims/cli/wrack' --dir '$work/centre/desk' evidence '$record' --whole --file '$work/whole' && '$verifier' '$work/whole' --hub-key $key"
tells "it needs neither database nor network" 0 "" sh -c "! ldd '$verifier' | grep -Eiq 'sqlite|libssl|zstd'"

# ---- What verify says of a database that was altered ------------------------------------------------------
tells "verify counts receipts, and says that all is well" 0 "of the hub hold" wrack verify
if command -v python3 >/dev/null; then
spoil() {  # SQL; on a copy of the desk, whose output of verify follows
  rm -rf "$work/spoilt"
  cp -r "$work/centre/desk" "$work/spoilt"
  python3 -c 'import sqlite3,sys; db=sqlite3.connect(sys.argv[1]); db.execute(sys.argv[2]); db.commit()' "$work/spoilt/records.db" "$1" || return 99
  "$build/platform-shims/cli/wrack" --dir "$work/spoilt" verify
}
# A run that was not worth compressing holds its changes as they are; the last byte is the last change's.
tells "an altered change is named by its number" 1 ": altered after sealing" spoil \
  "UPDATE segment SET body=CAST(substr(body,1,length(body)-1) AS BLOB)||x'01' WHERE first=(SELECT max(first) FROM segment WHERE codec=0 AND seal IS NOT NULL AND substr(body,-1)<>x'01')"
tells "and by who wrote it where" 1 " on " spoil \
  "UPDATE segment SET body=CAST(substr(body,1,length(body)-1) AS BLOB)||x'01' WHERE first=(SELECT max(first) FROM segment WHERE codec=0 AND seal IS NOT NULL AND substr(body,-1)<>x'01')"
tells "an altered seal is told by its run" 1 "not what their device sealed" spoil "UPDATE segment SET seal=zeroblob(64) WHERE count>1 AND first=(SELECT max(first) FROM segment WHERE count>1 AND seal IS NOT NULL)"
tells "an altered receipt is told by the change it speaks of" 1 "is not the hub's" spoil "UPDATE receipt SET held_ms=held_ms-3600000 WHERE place=(SELECT max(place) FROM receipt)"
tells "a damaged mark is told apart" 1 "only the mark kept beside it is damaged" spoil "UPDATE segment SET marks=zeroblob(length(marks)) WHERE first=(SELECT max(first) FROM segment WHERE marks IS NOT NULL)"
fi

# ---- The same from its description alone ------------------------------------------------------------------
have_second_opinion=yes
for tool in python3 openssl; do
  command -v "$tool" >/dev/null || { echo "SKIPPED the check from the description alone: no $tool, which tests/install brings"; have_second_opinion=no; }
done
second() { python3 "$here/check.py" "$@"; }
# An altered copy: FILE, then a Python expression from `lines`, and `at`, the number of the line that was altered.
alter() {
  python3 - "$good" "$1" "$2" <<'P'
import sys
good, bad, what = sys.argv[1:]
lines = open(good, "rb").read().split(b"\n")
kinds = {}
for n, line in enumerate(lines[:-1]):
    kinds.setdefault(line.split(b'"')[3].decode(), []).append(n)
kind, member, step = what.split(":")
n = kinds[kind][len(kinds[kind]) // 2]
at = lines[n].index(b'"' + member.encode() + b'":') + len(member) + 3 + int(step)
old = lines[n][at:at + 1]
lines[n] = lines[n][:at] + (b"7" if old != b"7" else b"8") + lines[n][at + 1:]
open(bad, "wb").write(b"\n".join(lines))
print(n + 1)
P
}

if [[ $have_second_opinion == yes ]]; then
  counted=$("$verifier" "$good" | sed -nE 's/^  checked: ([0-9]+) changes? of .* ([0-9]+) seals?, ([0-9]+) receipts? of the hub$/changes=\1 seals=\2 receipts=\3/p')
  tells "a checker that knows the description only agrees, to the count" 0 "GOOD $counted" second "$good" "$key"
  tells "and on another hub's key" 1 "BAD line 1" second "$good" "${key//[0-9]/a}"
  for what in change:bytes:9 change:mark:3 seal:signature:20 seal:hash:20 receipt:signature:20 receipt:held_ms:4 log:before:9 log:device:9 \
    log:first:0 name:name:1 evidence:facility:5 evidence:written_ms:4 end:changes:0 change:check:2; do
    bad=$work/bad
    line=$(alter "$bad" "$what") || { fails "one character of $what is altered" "it could not be"; continue; }
    tells "one character of $what altered: the verifier refuses it" 1 "BAD" "$verifier" "$bad" --hub-key "$key"
    tells "one character of $what altered: so does the other" 1 "BAD" second "$bad" "$key"
  done
  line=$(alter "$work/bad" change:bytes:9)
  named=$(sed -n "${line}s/.*\"seq\":\([0-9]*\).*/change \1/p" "$work/bad")
  tells "the verifier names the altered change and its line" 1 "$named (line $line): altered after sealing" "$verifier" "$work/bad" --hub-key "$key"
  tells "so does the other" 1 "$named: not what its device sealed" second "$work/bad" "$key"
  head -c "$(($(stat -c %s "$good") / 2))" "$good" >"$work/bad"
  tells "a file cut short is refused" 1 "cut short" "$verifier" "$work/bad"
  tells "by both" 1 "BAD" second "$work/bad"
fi
exit $failed
