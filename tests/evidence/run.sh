#!/usr/bin/env bash
# Evidence files as an outsider meets them: written by `wrack evidence`, checked by wrackline-evidence and, from the
# description of the file alone, by check.py with openssl; both must agree, on good files and on altered ones.
#
#   tests/evidence/run.sh BUILD_DIR
#
# Needs the targets wrack, wrackline-evidence, wrackline-demo-data and wrackline_evidence_tests.
#
# Prints `ok NAME` or `not ok NAME: why` for each test, `SKIPPED WHAT: why` where this machine lacks something; exits 1
# when one failed. Method: the invented centre's desk, no hub under way.
set -uo pipefail
build=$(cd "${1:?usage: tests/evidence/run.sh BUILD_DIR}" && pwd)
here=$(cd "$(dirname "$0")" && pwd)
verifier=$build/platform-shims/apps/evidence/wrackline-evidence
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

"$build/platform-shims/apps/demo-data/wrackline-demo-data" --days 120 "$work/centre" >"$work/log" 2>&1 || { fails "the centre is made" "$(tail -n 1 "$work/log")"; exit 1; }
wrack() { "$build/platform-shims/apps/cli/wrack" --dir "$work/centre/desk" --as "Tove Holm" "$@"; }

# ---- A record that two people had given values to ---------------------------------------------------------
record=$(wrack review --json | python3 -c 'import json,sys; print(next(r["records"][0]["id"] if isinstance(r["records"][0], dict) else r["records"][0] for r in json.load(sys.stdin)["items"] if r["rule"] == "disagreement"))' 2>"$work/log")
[[ -n $record ]] || record=$(wrack list treatment_order --json | grep -o '"id": "[0-9a-f.]*"' | head -n 1 | cut -d'"' -f4)
[[ -n $record ]] || { fails "there is a record to show" "$(tail -n 1 "$work/log")"; exit 1; }
good=$work/good.evidence
tells "evidence is written" 0 "wrote " wrack evidence "$record" --file "$good"
key=$(sed -n '1s/.*"hub_key":"\([^"]*\)".*/\1/p' "$good" | base64 -d | od -An -v -tx1 | tr -d ' \n')
tells "it says with which key it is checked" 0 "--hub-key $key" wrack evidence "$record" --file "$good"
tells "the verifier finds it good and tells its history" 0 "Record $record" "$verifier" "$good" --hub-key "$key"
tells "without the hub's key it is never called good" 3 "UNVOUCHED: " "$verifier" "$good"
tells "and says that nobody has vouched for the hub" 3 "nobody has vouched for the hub's key" "$verifier" "$good"
tells "a given key that is no key is a matter of usage" 2 "64 hexadecimal digits" "$verifier" "$good" --hub-key "${key}0"
tells "with another hub's key it is bad" 1 "whose key was given" "$verifier" "$good" --hub-key "${key//[0-9]/a}"
tells "a missing file is a matter of usage" 2 "cannot open" "$verifier" "$work/none"
tells "so is a key of another length" 2 "64 hexadecimal digits" "$verifier" "$good" --hub-key 12
tells "and no file at all" 2 "file is required" "$verifier"
tells "whole logs hold" 0 "nothing of the logs that the records stand in was left out" \
  sh -c "'$build/platform-shims/apps/cli/wrack' --dir '$work/centre/desk' evidence '$record' --whole --file '$work/whole' && '$verifier' '$work/whole' --hub-key $key"
tells "whoever writes whole logs is told how much is withheld" 0 "is withheld" wrack evidence "$record" --whole --file "$work/whole"
tells "and so is whoever checks them" 0 "withheld: the content of" "$verifier" "$work/whole" --hub-key "$key"
tells "it needs neither database nor network" 0 "" sh -c "! ldd '$verifier' | grep -Eiq 'sqlite|libssl|zstd'"

# ---- What verify says of a database that was altered ------------------------------------------------------
tells "verify counts the hub's words, and says that all is well" 0 "of the hub about when they came hold" wrack verify
if command -v python3 >/dev/null; then
spoil() {  # SQL; on a copy of the desk, whose output of verify follows
  rm -rf "$work/spoilt"
  cp -r "$work/centre/desk" "$work/spoilt"
  python3 -c 'import sqlite3,sys; db=sqlite3.connect(sys.argv[1]); db.execute(sys.argv[2]); db.commit()' "$work/spoilt/records.db" "$1" || return 99
  "$build/platform-shims/apps/cli/wrack" --dir "$work/spoilt" verify
}
# With another seed its changes are other leaves: what was sealed is no longer what stands here.
newest="UPDATE block SET seed=zeroblob(16) WHERE first=(SELECT max(first) FROM block)"
tells "an altered change is named by its number" 1 ": altered after sealing" spoil "$newest"
tells "and by who wrote it where" 1 " on south, entered " spoil "$newest"
tells "an altered seal is told by its log" 1 "not what their device sealed" spoil "UPDATE log SET seal=CAST(substr(seal,1,60) AS BLOB)||x'0101'||CAST(substr(seal,63) AS BLOB) WHERE seal IS NOT NULL"
tells "a damaged mark is told apart" 1 "only the mark kept beside it is damaged" spoil "UPDATE segment SET marks=zeroblob(length(marks)) WHERE first=(SELECT max(first) FROM segment)"
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
with_member = [n for n in kinds.get(kind, []) if b'"' + member.encode() + b'":' in lines[n]]
if not with_member:
    sys.exit(3)  # This file has no such thing.
n = with_member[len(with_member) // 2]
at = lines[n].index(b'"' + member.encode() + b'":') + len(member) + 3 + int(step)
old = lines[n][at:at + 1]
lines[n] = lines[n][:at] + (b"7" if old != b"7" else b"8") + lines[n][at + 1:]
open(bad, "wb").write(b"\n".join(lines))
print(n + 1)
P
}

if [[ $have_second_opinion == yes ]]; then
  counted=$("$verifier" "$good" --hub-key "$key" | sed -nE 's/^  checked: ([0-9]+) changes? of .* ([0-9]+) seals?, ([0-9]+) arrivals? at the hub$/changes=\1 seals=\2 arrivals=\3/p')
  tells "a checker that knows the description only agrees, to the count" 0 "GOOD $counted" second "$good" "$key"
  tells "and on another hub's key" 1 "BAD line 1" second "$good" "${key//[0-9]/a}"
  tells "and without any" 3 "UNVOUCHED $counted" second "$good"
  tells "and on whole logs" 0 "GOOD " second "$work/whole" "$key"
  for what in change:envelope:9 change:content:9 change:salt:3 change:path:50 change:seq:0 log:signature:20 log:root:20 log:nonce:9 log:device:9 \
    log:size:0 log:seen_root:9 log:seen_size:0 reach:size:0 reach:path:20 name:name:1 evidence:facility:5 evidence:hub_key:9 evidence:written_ms:4 \
    end:changes:0 change:check:2; do
    bad=$work/bad
    line=$(alter "$bad" "$what") || { [[ $? -eq 3 ]] && continue; false; } || { fails "one character of $what is altered" "it could not be"; continue; }
    tells "one character of $what altered: the verifier refuses it" 1 "BAD" "$verifier" "$bad" --hub-key "$key"
    tells "one character of $what altered: so does the other" 1 "BAD" second "$bad" "$key"
  done
  line=$(alter "$work/bad" change:content:9)
  named=$(sed -n "${line}s/.*\"seq\":\([0-9]*\).*/change \1/p" "$work/bad")
  tells "the verifier names the altered change and its line" 1 "$named (line $line): altered after sealing" "$verifier" "$work/bad" --hub-key "$key"
  tells "so does the other" 1 "$named: not what its device sealed" second "$work/bad" "$key"
  mkdir "$work/forged"
  WRACKLINE_EVIDENCE_FILES=$work/forged "$build/tests/evidence/wrackline_evidence_tests" "[forged]" >"$work/log" 2>&1 || fails "forged files are made" "$(tail -n 1 "$work/log")"
  for wanted in "$work"/forged/*.wanted; do
    read -r forged_key verdict <"$wanted"
    name=$(basename "$wanted" .wanted)
    rc=0; [[ $verdict == GOOD ]] || rc=1
    tells "forged file $name: the verifier says $verdict" "$rc" "$verdict" "$verifier" "${wanted%.wanted}.evidence" --hub-key "$forged_key"
    tells "forged file $name: so does the other" "$rc" "$verdict" second "${wanted%.wanted}.evidence" "$forged_key"
  done
  head -c "$(($(stat -c %s "$good") / 2))" "$good" >"$work/bad"
  tells "a file cut short is refused" 1 "cut short" "$verifier" "$work/bad"
  tells "by both" 1 "BAD" second "$work/bad"
fi
exit $failed
