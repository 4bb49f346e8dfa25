# People at a shared device; sourced by run.sh, whose helpers it uses.

shared() { "$wrack" --dir "$work/tablet" "$@"; }  # In nobody's name but the one signed in.
typed() {  # lines (PINs), exit code, then the command
  local pin=$1 wanted=$2 rc=0
  shift 2
  out=$("$@" 2>&1 < <(printf "$pin\n")) || rc=$?
  [[ $rc -eq $wanted ]] || why "exit $rc instead of $wanted from: ${*/"$wrack"/wrack} (it said: $(tail -n 1 <<<"$out"))"
}

status_by_call() { out=$(printf '\x02\0\0\0\x12\0' | shared call | tr '\0' ' '); says Europe/Oslo; }  # The call `status`, as bytes.

a_pin_signs_in_hands_over_and_locks() {
  expect 0 "$wrack" --dir "$work/desk" --as runa add person name="Per Strand" roles=keeper
  expect 0 desk exchange
  expect 0 tablet exchange
  expect 2 shared observe Sila --code appetite "calm"; says "who is writing?"
  expect 4 shared --as "Per Strand" sign-in "Per Strand" --pin-stdin; says "has no PIN yet"
  local code
  code=$("$server" pin-code --dir "$work/hub" "Per Strand" --reason "a first one" 2>/dev/null)
  typed "$code\n1234" 4 shared --as "Per Strand" set-pin --pin-stdin; says "stand in a row"
  typed "BCDFG-HJKLM\n2580" 4 shared --as "Per Strand" set-pin --pin-stdin; says "Per Strand has none"
  typed "$code\n2580" 0 shared --as "Per Strand" set-pin --pin-stdin; says "has a new PIN"
  # This tablet does not know the PIN yet, and takes care by name.
  expect 0 shared --as "Per Strand" observe Sila --code appetite "calm"
  expect 2 shared sign-in "Per Strand"; says "typed on a terminal"
  typed 9999 4 shared sign-in "Per Strand" --pin-stdin; says "not Per Strand's"
  typed 2580 0 shared sign-in "Per Strand" --pin-stdin; says "Per Strand is signed in until"
  [[ $(stat -c %a "$work/tablet/session") == 600 ]] || why "others can read the session"
  expect 0 shared observe Sila --code appetite "calm"
  expect 0 shared trail "$(first_id)"; says "Per Strand"
  expect 0 shared here; says "Signed in"; says "Per Strand, until"
  status_by_call; says "Per Strand"
  # Eleven idle minutes later.
  expect 4 env WRACKLINE_CLOCK_OFFSET_S=660 "$wrack" --dir "$work/tablet" --as "Per Strand" observe Sila --code appetite "calm"
  says "was idle for too long"
  typed 2580 0 shared sign-in "Per Strand" --pin-stdin
  expect 0 shared sign-out
  status_by_call; says_not "Per Strand"
  expect 4 shared --as "Per Strand" observe Sila --code appetite "calm"
  # Nothing that is shown or written to a table tells the PIN or its hash.
  expect 0 shared list person; says_not 2580
  expect 0 shared export person --csv "$work/people.csv"
  grep -q 'pin' "$work/people.csv" && why "the table has the PIN's hash"
  expect 0 tablet exchange
  # An admin at the desk gives a code for a PIN that was forgotten; for that she shows hers.
  expect 0 desk exchange
  code=$("$server" pin-code --dir "$work/hub" "Runa Dahl" --reason "a first one" 2>/dev/null)
  typed "$code\n824613" 0 "$wrack" --dir "$work/desk" --as runa set-pin --pin-stdin
  typed 824614 4 "$wrack" --dir "$work/desk" --as runa pin-code "Per Strand" --pin-stdin
  typed 824613 0 "$wrack" --dir "$work/desk" --as runa pin-code "Per Strand" --pin-stdin; says "With it Per Strand chooses a PIN"
  code=$(head -n 1 <<<"$out")
  typed "$code\n1597" 0 shared --as "Per Strand" set-pin --pin-stdin
  expect 0 "$wrack" --dir "$work/desk" --as "Jonas Berg" exchange
  typed 2580 4 shared sign-in "Per Strand" --pin-stdin
  typed 1597 0 shared sign-in "Per Strand" --pin-stdin
  expect 0 shared sign-out
}

record_text_never_steers_the_terminal() {
  local esc=$'\e'
  expect 0 tablet observe Sila "calm ${esc}[2J${esc}]0;all is well${esc}\\" --code appetite
  local seen; seen=$(first_id)
  local command
  for command in "list observation" "show $seen" "trail $seen" "day" "report animal Sila"; do
    # shellcheck disable=SC2086
    expect 0 tablet $command
    if grep -q "$esc" <<<"$out"; then why "an escape goes to the terminal from: wrack $command"; fi
  done
  expect 0 tablet show "$seen"; says 'calm \u001b[2J'
  # In a message too.
  expect 2 tablet show "x${esc}[2J"
  if grep -q "$esc" <<<"$out"; then why "an escape goes to the terminal in a message"; fi
}
