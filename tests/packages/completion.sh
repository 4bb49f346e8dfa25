#!/usr/bin/env bash
# Asks the completions given, as bash would, and compares what they offer.
#
#   completion.sh FILE...
set -uo pipefail
for file in "$@"; do
  # shellcheck disable=SC1090
  source "$file"
done
failed=0

# Checks the words offered for the last of these words: "EXPECTED" -- word...
offers() {
  local expected=$1 function
  shift 2
  COMP_WORDS=("$@") COMP_CWORD=$(($# - 1)) COMPREPLY=()
  function=$(complete -p "$1" | sed -n 's/.* -F \([^ ]*\) .*/\1/p')
  "$function"
  if [[ "${COMPREPLY[*]}" != "$expected" ]]; then
    echo "for \"$*\" it offers \"${COMPREPLY[*]}\", not \"$expected\""
    failed=1
  fi
}
offers "fold foods" -- wrack fo
offers "animal" -- wrack report an
offers "export import" -- wrack bundle ""
offers "--help --help-all --html --hub" -- wrack report animal --h
offers "--json" -- wrack round --js
offers "--json" -- wrack report animal --js
offers "round" -- wrack --dir day ro       # A value that is named as a command is none.
offers "round" -- wrack --dir = report ro  # Bash splits at the sign.
offers "" -- wrack --dir ""                # Files, by bash itself.
offers "--version" -- wrack --vers
offers "" -- wrack round --vers            # Only the program itself has a version.
offers "init" -- wrackline-server in
offers "--link" -- wrackline-server code --li
offers "--hub-key" -- wrackline-evidence --hub
exit $failed
