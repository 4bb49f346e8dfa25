#!/usr/bin/env bash
# Tests wrack as a person and a script meet it: through its arguments, output and exit codes.
#
#   tests/cli/run.sh BUILD_DIR
#
# Prints `ok NAME` or `not ok NAME: why` for each test; exits 1 when one failed. Method: a hub on loopback and two
# enrolled devices are made once; each test then adds what it needs and looks at what it gets.
set -uo pipefail
build=$(cd "${1:?usage: tests/cli/run.sh BUILD_DIR}" && pwd)
root=$(cd "$(dirname "$0")/../.." && pwd)
wrack=$build/platform-shims/apps/cli/wrack
server=$build/sync-server/wrackline-server
work=$(mktemp -d)
hub_pid=
stop_hub() {
  [[ -z $hub_pid ]] && return
  kill "$hub_pid" 2>/dev/null
  timeout 20 tail --pid="$hub_pid" -f /dev/null || kill -9 "$hub_pid"
  hub_pid=
}
trap 'stop_hub; rm -rf "$work"' EXIT
unset WRACKLINE_DIR WRACKLINE_PERSON WRACKLINE_CLOCK_OFFSET_S
failed=0

# ---- Helpers --------------------------------------------------------------------------------------------

runs() {  # a function; its last line of output says why it failed
  ( set -e; "$1" ) >"$work/log" 2>&1
  local rc=$?
  if [[ $rc -eq 0 ]]; then
    echo "ok $1"
  else
    echo "not ok $1: $(tail -n 1 "$work/log")"
    failed=1
  fi
}
why() { echo "$*"; exit 1; }
expect() {  # exit code, then the command; its output, errors included, is in $out
  local wanted=$1 rc=0
  shift
  out=$("$@" 2>&1 </dev/null) || rc=$?
  [[ $rc -eq $wanted ]] || why "exit $rc instead of $wanted from: ${*/"$wrack"/wrack} (it said: $(tail -n 1 <<<"$out"))"
}
says() { grep -qF -- "$1" <<<"$out" || why "\"$1\" is not in: $(head -c 300 <<<"$out" | tr '\n' ' ')"; }
says_not() { if grep -qF -- "$1" <<<"$out"; then why "\"$1\" is in: $(head -c 300 <<<"$out" | tr '\n' ' ')"; fi; }
desk() { "$wrack" --dir "$work/desk" --as "Tove Holm" "$@"; }
tablet() { "$wrack" --dir "$work/tablet" --as "Ines Vik" "$@"; }
first_id() { sed -n 's/^logged \([0-9a-f.]*\) .*/\1/p' <<<"$out" | head -n 1; }
field() { python3 -c 'import json,sys; d=json.load(sys.stdin); print(eval(sys.argv[1], {"d": d}))' "$1" <<<"$out"; }
code() { "$server" code --dir "$work/hub" 2>/dev/null | head -n 1; }

# ---- A facility -----------------------------------------------------------------------------------------

setup() {
  for device in desk tablet; do
    expect 0 "$wrack" --dir "$work/$device" enrol --hub "$hub_at" --cert "$work/hub/tls-cert.pem" --code "$(code)" --device "$device"
  done
  local admin=("$wrack" --dir "$work/desk" --as runa add)
  expect 0 "${admin[@]}" person name="Tove Holm" roles=officer,curator
  expect 0 "${admin[@]}" person name="Ines Vik" roles=keeper
  expect 0 "${admin[@]}" person name="Ivar Moe" roles=keeper
  expect 0 "${admin[@]}" person name="Dr. Mara Lund" roles=vet
  expect 0 desk add area name=yard
  expect 0 desk add pool name="Seal pool" area=yard volume=40m3
  expect 0 desk add animal name=Sila taxon="grey seal" pool=Seal
  expect 0 desk add animal name=Kobb taxon="harbour seal" pool=Seal
  expect 0 desk add food name=Herring energy=158kcal/100g water=72.05% source="USDA SR-28 NDB 15039"
  expect 0 desk add food name=Squid energy=92kcal/100g water=78,55% source="USDA SR-28 NDB 15175"
  expect 0 "$wrack" --dir "$work/desk" --as mara add treatment_order animal=Kobb preparation="Tablet 250 mg" dose=250mg \
    route="in fish" slots=08:30,20:30 first_day=2024-01-01 interval=10h daily_max=2 ordered_by=mara
  expect 0 desk exchange
  expect 0 tablet exchange
}

start_hub() {
  : >"$work/hub.log"
  "$server" serve --dir "$work/hub" --listen 127.0.0.1:0 --port-file "$work/port" >>"$work/hub.log" 2>&1 &
  hub_pid=$!
  local line serving=no
  exec {log_fd}< <(exec tail -n +1 -f --pid="$hub_pid" "$work/hub.log")
  local tail_pid=$!
  while IFS= read -r -u "$log_fd" line; do [[ $line == *event=serving* ]] && serving=yes && break; done
  kill "$tail_pid" 2>/dev/null
  exec {log_fd}<&-
  [[ $serving == yes ]] && hub_at=127.0.0.1:$(<"$work/port")
}

source "$root/tests/cli/areas.sh"
source "$root/tests/cli/proving.sh"
source "$root/tests/cli/asking.sh"
source "$root/tests/cli/reports.sh"
source "$root/tests/cli/people.sh"
source "$root/tests/cli/keys.sh"
source "$root/tests/cli/files.sh"

# ---- Tests ----------------------------------------------------------------------------------------------

usage_is_exit_2() {
  expect 0 "$wrack" --help; says "Exit codes"
  expect 0 "$wrack" --version; says "wrack "
  expect 2 "$wrack"; says "Keeper:"
  expect 2 "$wrack" frobnicate; says 'no command "frobnicate"'
  expect 2 tablet meal Sila --slot 08:30; says "wrack meal --help"
  expect 2 tablet list unicorn; says "treatment_order"
  expect 2 tablet show hello
}

a_directory_without_records_is_exit_3() {
  expect 3 "$wrack" --dir "$work/nowhere" here; says "enrol"
}

enrolling_refuses_a_wrong_code_and_a_strange_hub() {
  expect 4 "$wrack" --dir "$work/x" enrol --hub "$hub_at" --cert "$work/hub/tls-cert.pem" --code AAAAA-AAAAA --device x
  expect 6 "$wrack" --dir "$work/x" enrol --hub 127.0.0.1:1 --cert "$work/hub/tls-cert.pem" --code AAAAA-AAAAA --device x
  expect 0 openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout "$work/k.pem" -out "$work/c.pem" \
    -days 2 -subj /CN=other -addext subjectAltName=IP:127.0.0.1
  expect 6 "$wrack" --dir "$work/x" enrol --hub "$hub_at" --cert "$work/c.pem" --code AAAAA-AAAAA --device x; says "not trusted"
  [[ ! -e $work/x/records.db ]] || why "a database was made"
  expect 4 "$wrack" --dir "$work/desk" enrol --hub "$hub_at" --cert "$work/hub/tls-cert.pem" --code AAAAA-AAAAA --device x
}

who_writes_must_be_one_known_person() {
  expect 2 "$wrack" --dir "$work/tablet" observe Sila --code appetite; says "--as"
  expect 3 "$wrack" --dir "$work/tablet" --as nobody observe Sila --code appetite
  expect 3 "$wrack" --dir "$work/tablet" --as I observe Sila --code appetite; says "Ivar Moe"
  expect 0 "$wrack" --dir "$work/tablet" --as VIK observe Sila --code appetite
}

numbers_without_a_clear_unit_are_exit_2() {
  for food in herring=350 herring=1,200g herring=.5kg herring=350ml herring=-1g herring=0.0000001kg; do
    expect 2 tablet meal Sila --slot 08:30 --food "$food"
  done
  expect 3 tablet meal Sila --slot 08:30 --food plankton=1kg
  expect 2 tablet meal Sila --slot 25:00 --food herring=1kg
}

amounts_come_back_exactly() {
  expect 0 tablet meal Sila --slot 07:00 --at "2024-05-01 07:05" --food herring=1.2kg --food squid=gross:1500.5g,tare:300,25g,left:0g
  expect 0 tablet list portion --of "$(first_id)"
  says "1.2 kg"; says "1.5005 kg"; says "300.25 g"; says "0 g"
  expect 0 tablet list portion --json
  [[ $(field '[r["fields"].get("offered_mg") for r in d["records"]].count(1200000)') -ge 1 ]] || why "1.2 kg is not 1200000 mg"
  [[ $(field '[r["fields"].get("left_mg", "absent") for r in d["records"] if r["fields"].get("tare_mg") == 300250]') == "[0]" ]] || why "0 g was not kept as 0"
  [[ $(field '["left_mg" in r["fields"] for r in d["records"] if r["fields"].get("offered_mg") == 1200000][0]') == False ]] || why "what was not weighed has a value"
}

times_are_the_facilitys() {
  expect 0 tablet observe Sila --code seen --at "2024-07-01 00:10" summer
  expect 0 tablet list observation --from 2024-07-01 --to 2024-07-01 --json
  [[ $(field 'd["records"][0]["fields"]["utc_offset_min"]') == 120 ]] || why "summer offset"
  [[ $(field 'd["records"][0]["fields"]["happened_ms"]') == 1719785400000 ]] || why "instant of a local time"
  expect 2 tablet observe Sila --code seen --at "2024-03-31 02:30" x; says "went forward"
  expect 2 tablet observe Sila --code seen --at "2024-10-27 02:30" x; says "2024-10-27T02:30+02:00 for the first"
  expect 0 tablet observe Sila --code seen --at "2024-10-27T02:30+01:00" x
  expect 2 tablet observe Sila --code seen --at noon x
}

ids_may_be_short_or_full() {
  expect 0 tablet observe Kobb --code seen --json
  local full short
  full=$(field 'd["logged"][0]["record"]') short=$(field 'd["logged"][0]["short"]')
  for id in "$full" "$short" "${full:0:9}.${full#*.}"; do expect 0 tablet show "$id"; says "observation of Kobb"; done
  expect 2 tablet show "${full:0:3}.1"
  expect 3 tablet show "ffff.1"
  expect 3 tablet show "${full%.*}.999999"
}

a_second_dose_in_a_slot_is_asked_about() {
  expect 0 tablet dose Kobb --slot 08:30 --outcome given --at "2024-06-01 08:35"; says "250 mg (as ordered)"; says "exchanged with the hub"
  expect 4 tablet dose Kobb --slot 08:30 --outcome given --at "2024-06-01 08:40"; says "already has an entry"; says "too soon"; says "--yes"
  expect 0 tablet list administration --from 2024-06-01 --to 2024-06-01 --json
  [[ $(field 'len(d["records"])') == 1 ]] || why "a dose was written without a yes"
  expect 0 tablet --yes dose "tablet 250" --slot 08:30 --outcome part --at "2024-06-01 08:40"
  expect 0 tablet list administration --from 2024-06-01 --to 2024-06-01 --json
  [[ $(field '[("given_ug" in r["fields"]) for r in d["records"] if r["fields"]["outcome"] == "part"]') == "[False]" ]] || why "an unknown amount has a value"
  [[ $(field '["[asked:" in r["fields"].get("confirmed", "") for r in d["records"] if r["fields"]["outcome"] == "part"]') == "[True]" ]] || why "what was asked is not in the record"
  expect 2 tablet dose Kobb --slot 20:30 --outcome given --amount 5mL
  expect 2 tablet dose Kobb --outcome given --at "2024-06-01 12:00"; says "--slot"
  expect 3 tablet dose Sila --slot 08:30 --outcome given
}

the_round_shows_what_is_due_and_what_is_done() {
  expect 0 tablet round --day 2024-06-01; says "done 08:35"; says "20:30"; says "known here as of"
  expect 0 tablet round --day 2024-06-01 --open; says_not "done 08:35"
  expect 7 tablet round --day 2024-06-01 --check
  expect 0 tablet round --day 2024-06-01 --json
  [[ $(field 'sorted(set(i["what"] for i in d["items"]))') == *dose* ]] || why "no dose is in the round"
  expect 0 tablet round --day 2024-06-01 --calendar "$work/round.ics"
  [[ $(head -c 15 "$work/round.ics") == BEGIN:VCALENDAR ]] || why "the calendar is none"
}

corrections_and_strikes_keep_the_old() {
  expect 0 tablet measure Sila mass=84kg --at "2024-05-02 08:00"
  local id; id=$(first_id)
  expect 2 tablet correct "$id" value=85kg; says "--reason"
  expect 0 tablet correct "$id" value=85kg --reason "read again"
  expect 2 tablet correct "$id" value=85cm --reason x
  expect 2 tablet correct "$id" standing=struck --reason x; says "wrack strike"
  expect 0 tablet strike "$id" --reason "wrong seal"
  expect 0 tablet list measure --of Sila --from 2024-05-02 --to 2024-05-02; says_not "85 kg"
  expect 0 tablet strike "$id" --lift --reason "right seal after all"
  expect 0 tablet trail "$id"; says "84 kg -> 85 kg"; says "why: wrong seal"; says "Ines Vik"
  expect 0 tablet meal Sila --slot 06:00 --at "2024-05-02 06:00" --food herring=1kg
  expect 0 tablet left Sila --slot 06:00 --day 2024-05-02 herring=80g
  expect 4 tablet left Sila --slot 06:00 --day 2024-05-02 herring=90g; says "already recorded as 80 g"
  expect 0 tablet left Sila --slot 06:00 --day 2024-05-02 herring=90g --reason "scale"
}

the_store_adds_up_over_two_devices() {
  expect 0 desk receive Squid 10kg --lot SQ-7 --use-by "$(date -d "+60 days" +%F)" --store "freezer 2"
  expect 2 desk receive Squid 10kg --use-by 2026-01-01; says "--lot"
  expect 4 desk receive Squid 1kg --lot SQ-7; says "here already"; says "--yes"
  expect 0 desk exchange; expect 0 tablet exchange
  expect 0 desk use SQ-7 1kg
  expect 0 tablet thaw sq-7 2.5kg --in cold-water; says "by the book: 7.5 kg"
  expect 0 tablet exchange; expect 0 desk exchange
  expect 0 desk stock --json
  [[ $(field '[l["on_hand_mg"] for f in d["foods"] for l in f["lots"] if l["code"] == "SQ-7"]') == "[6500000]" ]] || why "two tablets' movements do not add up"
  expect 0 desk prep; says "cold water"; says "never refreeze"
  expect 0 desk add lot food=Squid code=SQ-OLD use_by_day=2020-01-01
  expect 4 desk use SQ-OLD 1kg; says "past its use-by day"
}

a_sheet_to_print_is_written_whole() {
  expect 0 desk add diet_plan animal=Sila first_day=2024-09-01 last_day=2024-09-30 line="food=Squid slot=08:30 mass=700g"
  expect 0 desk prep --day 2024-09-02 --html "$work/prep.html"
  grep -q "Food for Monday 2024-09-02" "$work/prep.html" && grep -q "700 g" "$work/prep.html" || why "the page lacks its day or a mass"
  page_is_sound "$work/prep.html"
  expect 0 desk meal Sila --slot 08:30 --at "2024-09-02 08:30" --substitute "Squid=Herring,by:energy"; says "700 g (644 kcal) of Squid"
  expect 0 desk prep --day 2024-09-02; says "given"
}

json_is_valid_everywhere() {
  expect 0 tablet list observation --json
  local id; id=$(field 'd["records"][0]["record"]')
  for args in here day people devices review verify digest rebuild "digest --hub" exchange "list animal" "list portion" \
    stock prep "list diet_plan" "list treatment_order" "show $id" "trail $id" "intake Sila --from 2024-05-01 --to 2024-05-02"; do
    # shellcheck disable=SC2086  # the words of a command
    out=$(tablet $args --json 2>/dev/null) || [[ $args == "digest --hub" ]] || why "failed: $args"
    field 'type(d).__name__' >/dev/null || why "no JSON from: $args"
  done
  expect 3 tablet --json show ffff.1; [[ $(field 'd["error"]["exit"]') == 3 ]] || why "the error is not in the JSON"
  expect 2 tablet --json meal; [[ $(field 'd["error"]["word"]') == usage ]] || why "usage errors are not JSON"
}

meals_of() { expect 0 desk list meal --from 2024-08-01 --to 2024-08-31 --json; field 'len(d["records"])'; }

a_good_sheet_is_imported_by_meal_and_keeper() {
  printf 'date,time,animal,food,offered g,left g,keeper\r\n2024-08-01,08:30,Sila,Herring,1200,80,Ines Vik\r\n2024-08-01,08:30,Sila,"Squid",500,,Ines Vik\r\n2024-08-01,08:30,Kobb,Herring,"900.5",0,Ivar Moe\r\n' >"$work/good.csv"
  expect 0 desk import-sheet "$work/good.csv" --dry-run; says "2 meals with 3 portions"; [[ $(meals_of) == 0 ]] || why "a dry run wrote"
  expect 4 desk import-sheet "$work/good.csv"; says "--yes"; [[ $(meals_of) == 0 ]] || why "written without a yes"
  expect 0 desk --yes import-sheet "$work/good.csv"; [[ $(meals_of) == 2 ]] || why "not two meals"
  expect 0 desk list meal --from 2024-08-01 --to 2024-08-01 --json
  [[ $(field 'sorted(r["author_name"] for r in d["records"])') == "['Ines Vik', 'Ivar Moe']" ]] || why "the keepers are not the authors"
  expect 4 desk --yes import-sheet "$work/good.csv"; says "already recorded"; [[ $(meals_of) == 2 ]] || why "imported twice"
}

a_bad_sheet_names_every_line_and_imports_nothing() {
  cat >"$work/bad.csv" <<'CSV'
date,time,animal,food,offered g,left g,keeper
2024-08-02,08:30,Sila,Herring,1200,80,Ines Vik
2024-08-32,08:30,Sila,Herring,1200,80,Ines Vik
2024-08-03,8.30,Sila,Herring,1200,80,Ines Vik
2024-08-04,08:30,Nobody,Herring,1200,80,Ines Vik
2024-08-05,08:30,Sila,Herring,lots,80,Ines Vik
2024-08-06,08:30,Sila,Herring,"1,200",80,Ines Vik
2024-08-07,08:30,Sila,Herring,1200,80,
2024-08-08,08:30,Sila,Herring,1200,80,Ines Vik,extra
2024-08-09,08:30,Sila,Herring,1200,80,Ines Vik
2024-08-09,08:30,Sila,Herring,100,0,Ines Vik
2999-08-09,08:30,Sila,Herring,1200,80,Ines Vik
CSV
  local before; before=$(meals_of)
  expect 4 desk --yes import-sheet "$work/bad.csv" --json
  [[ $(field '[p["line"] for p in d["problems"]]') == "[3, 4, 5, 6, 7, 8, 9, 11, 12]" ]] || why "problems in lines $(field '[p["line"] for p in d["problems"]]')"
  [[ $(field '[p["column"] for p in d["problems"]][:6]') == "['date', 'time', 'animal', 'offered g', 'offered g', 'keeper']" ]] || why "columns"
  [[ $(meals_of) == "$before" ]] || why "something was imported"
  expect 0 desk --yes import-sheet "$work/bad.csv" --skip-bad
  [[ $(meals_of) == $((before + 1)) ]] || why "not only the good meal was imported"
  printf 'date,time,animal\n' >"$work/short.csv"; expect 4 desk import-sheet "$work/short.csv"; says "food"
  printf 'date,"time\n' >"$work/open.csv"; expect 4 desk import-sheet "$work/open.csv"; says "line 1"
  expect 3 desk import-sheet "$work/none.csv"
}

tables_go_out_and_come_in() {
  expect 0 desk export animal --csv "$work/animals.csv"; says "exported 2 animal records"
  head -c 14 "$work/animals.csv" | grep -q '^id,name,taxon,' || why "the header is $(head -n 1 "$work/animals.csv")"
  expect 0 desk export animal --csv -; says "Sila"
  expect 4 desk --yes import animal "$work/animals.csv"; says "here already"
  printf 'name,taxon,pool_name\r\nVipp,grey seal,Seal pool\r\n' >"$work/new.csv"
  expect 4 desk import animal "$work/new.csv"; says "--yes"
  expect 0 desk --yes import animal "$work/new.csv" --json; [[ $(field 'd["imported"]') == 1 ]] || why "not imported"
  expect 0 desk list animal; says "Vipp"
  expect 0 desk import water_reading --columns; says "parameter"
  expect 4 desk --yes import animal "$work/new.csv"; says "recorded already"
  expect 2 desk import device "$work/new.csv"
  expect 0 desk foods --json; [[ $(field 'len(d["foods"])') == 12 ]] || why "not the table"
}

bundles_are_idempotent_and_refused_when_altered() {
  expect 0 tablet bundle export "$work/t.bundle"
  expect 0 desk bundle import "$work/t.bundle" --dry-run; says "would be new"
  expect 0 desk bundle import "$work/t.bundle"
  expect 0 desk bundle import "$work/t.bundle"; says " 0 new"
  cp "$work/t.bundle" "$work/altered"
  printf 'X' | dd of="$work/altered" bs=1 seek=200 conv=notrunc status=none
  expect 1 desk bundle import "$work/altered"
  head -c 300 "$work/t.bundle" >"$work/cut"; expect 1 desk bundle import "$work/cut"
}

# A tablet's folder carried on twice; the copy has no fence to tell it.
a_copied_tablet_is_kept_apart_and_taken_in() {
  expect 0 tablet exchange
  cp -r "$work/tablet" "$work/twin"
  local twin=(env -u HOME -u XDG_STATE_HOME "$wrack" --dir "$work/twin" --as "Ines Vik")
  expect 0 tablet measure Kobb mass=61kg --at "2024-06-03 08:00"; expect 0 tablet exchange
  expect 0 "${twin[@]}" measure Kobb mass=62kg --at "2024-06-04 08:00"
  expect 1 "${twin[@]}" exchange; says "two branches"
  expect 0 "${twin[@]}" exchange
  expect 0 "${twin[@]}" measure Kobb mass=63kg --at "2024-06-05 08:00"; expect 0 "${twin[@]}" exchange
  expect 0 desk exchange
  expect 7 desk review --check; says "held"
  expect 0 desk held; says "continued twice"; says "62 kg"; says "Ines Vik"; says "wrack take-in"
  local hold; hold=$(sed -n 's/^\([0-9a-f.]*\)  held .*/\1/p' <<<"$out" | head -n 1)
  expect 0 desk body Kobb --from 2024-06-03 --to 2024-06-05; says "61 kg"; says "63 kg"; says_not "62 kg"
  expect 0 tablet exchange; expect 4 tablet take-in "$hold" --reason "mine"; says "for a vet, a curator or an officer"
  expect 0 desk take-in "$hold" --reason "the same keeper, two tablets"
  expect 0 desk body Kobb --from 2024-06-03 --to 2024-06-05; says "62 kg"
  expect 0 desk held; says "nothing is held"
  expect 0 desk exchange; expect 0 tablet exchange; expect 0 "${twin[@]}" exchange
  expect 0 tablet digest --hub; says "the same"; expect 0 "${twin[@]}" digest --hub; says "the same"
  expect 0 desk verify
}

a_disagreement_is_shown_and_settled() {
  expect 0 desk measure Kobb mass=60kg --at "2024-05-03 08:00"
  local id; id=$(first_id)
  expect 0 desk exchange; expect 0 tablet exchange
  expect 0 tablet correct "$id" value=61kg --reason "tablet"
  expect 0 env WRACKLINE_CLOCK_OFFSET_S=2400000000 "$wrack" --dir "$work/desk" --as Tove correct "$id" value=62kg --reason "desk, far ahead"
  expect 0 tablet exchange; expect 0 desk exchange; expect 0 tablet exchange
  expect 7 desk review --check; says "61 kg"; says "62 kg"; says "clock suspect"; says "61 kg came after 60 kg by Tove Holm"
  expect 0 desk review --json; [[ $(field '{v["authorship"] for i in d["items"] for v in i.get("values", [])}') == "{\"by the device's word\"}" ]] || why "review does not say who says so"
  expect 7 desk review --check --html "$work/review.html"; python3 -c 'import sys,xml.dom.minidom as m; m.parse(sys.argv[1])' "$work/review.html" || why "the page is not well-formed"
  grep -q "62&#160;kg came after 60&#160;kg" "$work/review.html" || why "the page does not say how a value came about"
  expect 4 desk correct "$id" value=63kg --reason "not a settlement"
  expect 3 desk settle "$id" method tape --reason "not in disagreement"
  expect 0 desk settle "$id" value 61kg --reason "scale photo"
  expect 0 desk show "$id"; says "61 kg"; says_not "disagreement"
}

a_double_entry_is_folded_or_accepted() {
  expect 0 desk review --json
  local rest; rest=$(field 'len(d["items"])')
  [[ $rest -ge 1 ]] || why "the two doses of one slot are not in review"
  while [[ $rest -gt 0 ]]; do
    local a b rule
    a=$(field 'd["items"][0]["records"][0]') b=$(field 'd["items"][0]["records"][-1]') rule=$(field 'd["items"][0]["rule"]')
    if [[ $a != "$b" && $rest -eq 1 ]]; then
      expect 0 desk fold "$b" --into "$a" --reason "same event"
      expect 0 desk fold "$b" --undo --reason "to see it come back"
      expect 7 desk review --check
      expect 0 desk fold "$b" --into "$a" --reason "same event"
    else
      expect 0 desk accept "$a" "$rule" --reason "looked at"
    fi
    expect 0 desk review --json
    [[ $(field 'len(d["items"])') -lt $rest ]] || why "the queue did not get shorter"
    rest=$(field 'len(d["items"])')
  done
  expect 0 desk review --check; says "nothing to review"
}

a_closed_day_names_what_was_closed_and_tells_amendments() {
  local day=2024-06-21
  local -a of_day=(--from "$day" --to "$day")
  expect 0 desk meal Kobb --slot 08:30 --food herring=1kg --at "$day 08:30"
  local portion; portion=$(sed -n 's/^logged \([0-9a-f.]*\) .*/\1/p' <<<"$out" | tail -n 1)
  expect 4 desk close --area yard --day "$day"; says "leftover of Herring not weighed"; says "is to be closed with 1 leftover not weighed"
  expect 0 desk closes "${of_day[@]}"; says "No day of these was closed"
  expect 0 desk --yes --because "the dish was lost" close --area yard --day "$day"; says "2 records, 2 changes"; says "sealed by this device"
  expect 0 desk closes "${of_day[@]}"; says "what was closed is here as it was closed; sealed"; says "the dish was lost"; says "No amendment since"
  expect 0 desk --yes correct "$portion" left=80g --reason "found under the ledge"
  expect 0 desk closes "${of_day[@]}"; says "1 amendment since"; says "ledge"; says "what was closed is here as it was closed"
  expect 0 desk report day "$day" --area yard; says "1 amendment since"
  expect 0 desk trail --animal Kobb --after-close "${of_day[@]}"; says "80 g"; says "after close"; says "an amendment"; says_not "offered"
  expect 0 desk trail --animal Kobb --after-close "${of_day[@]}" --csv "$work/trail.csv"
  grep -q '80 g,stands,' "$work/trail.csv" || why "the amendment is not in the table"
  expect 0 desk trail --animal Kobb "${of_day[@]}" --html "$work/trail.html"; python3 -c 'import sys,xml.dom.minidom as m; m.parse(sys.argv[1])' "$work/trail.html" || why "the page is not well-formed"
  grep -q "found under the ledge" "$work/trail.html" || why "the page does not say why"
  expect 0 desk --json trail --kind portion --field left --after-close; [[ $(field 'd["entries"][0]["value"]') == "80 g" ]] || why "no JSON of it"
  expect 0 desk exchange
  expect 0 desk trail --person Tove --kind meal "${of_day[@]}"; local here=$out
  expect 0 desk trail --person Tove --kind meal "${of_day[@]}" --hub
  [[ $(grep -c "Herring\|08:30" <<<"$here") -eq $(grep -c "Herring\|08:30" <<<"$out") ]] || why "the hub shows another trail"
  expect 0 desk trail --late --device desk; says "LATE"
  expect 2 desk trail; says "say of what"
  expect 2 desk trail --animal Kobb --field left; says "--field goes with --kind"
}

intake_shows_missing_days_and_is_the_hubs() {
  expect 0 desk exchange; expect 0 tablet exchange
  expect 0 tablet intake Sila --from 2024-08-01 --to 2024-08-03; local here=$out
  says "unrecorded"; says "diagnosis"
  expect 0 tablet intake Sila --from 2024-08-01 --to 2024-08-03 --hub
  [[ $out == "$here" ]] || why "the hub's replica prints other bytes"
  expect 0 tablet digest --hub; says "the same"
}

water_is_read_judged_and_derived() {
  expect 0 desk add area name=hall
  expect 0 desk add pool name="Ray pool" area=hall
  expect 0 desk add water_limit parameter=ph low=7.2 high=8.2 source="an old leaflet" unverified=true
  expect 0 desk add water_limit pool="Ray pool" parameter=temperature low=8C high=16C every=24h source="the centre's own plan"
  expect 0 desk add water_limit parameter=nitrite high=0.1mg/L every=168h source="the centre's own plan"
  expect 0 tablet exchange; expect 0 desk exchange; expect 0 tablet exchange
  expect 0 tablet read "Ray pool" temperature=17.25C conductivity=42.9mS/cm ph=8.3 ammonia=0.05mg/L oxygen=7.1mg/L \
    chlorine_free=0.02mg/L chlorine_total=0.03mg/L --at "2024-09-01 09:00" --method "NBS buffers"
  says "water reading of Ray pool"
  expect 0 tablet read "Ray pool" coliform=900MPN --at "2024-09-02 09:00"
  expect 2 tablet read "Ray pool" temperature=17; says "24.5C"
  expect 2 tablet read "Ray pool" wetness=1; says "salinity"
  expect 0 tablet water "Ray pool" --from 2024-09-01 --to 2024-09-01
  says "OUTSIDE, above (unverified limit)"; says "17.25 °C"; says "PSS-78"; says "Benson & Krause"; says "Bower & Bidwell"
  says "NBS scale"; says "1013.25 hPa"; says "0.01 mg/L as Cl2"; says "local codes"; says "Overdue: nitrite"; says "never read here"
  says_not "900 MPN"
  local width; width=$(wc -L <<<"$out"); [[ $width -le 100 ]] || why "a line has $width columns"
  expect 0 tablet exchange
  expect 0 tablet water "Ray pool" --from 2024-09-01 --to 2024-09-01; local here=$out
  expect 0 tablet water "Ray pool" --from 2024-09-01 --to 2024-09-01 --hub
  [[ $out == "$here" ]] || why "the hub's replica prints other bytes"
  expect 0 tablet water "Ray pool" --from 2024-09-01 --to 2024-09-01 --json
  [[ $(field 'sorted(f["figure"] for f in d["derived"])') == "['ammonia_unionised', 'chlorine_combined', 'density', 'oxygen_saturation', 'salinity']" ]] || why "derived: $out"
  [[ $(field '[r["judgement"] for r in d["readings"] if r["parameter"] == "temperature"]') == "['above']" ]] || why "judged: $out"
  expect 2 tablet water "Ray pool" --from 2024-09-02 --to 2024-09-01
  expect 3 tablet water "Sila"
}

limits_say_where_they_come_from() {
  expect 0 tablet limits; says "an old leaflet"; says "unverified"; says "every pool"
  expect 0 tablet limits "Seal pool"; says "7.2"; says_not "16 °C"
  expect 0 tablet limits --json; [[ $(field 'd["limits"][0]["parameter"]') == temperature ]] || why "not by property: $out"
}

attention_is_urgent_first() {
  expect 0 tablet attention --day 2024-09-10; says "Ray pool"
  expect 0 tablet meal Sila --slot 08:00 --at "2024-10-01 08:00" --food herring=gross:1kg,tare:0g,left:0g
  expect 0 tablet meal Sila --slot 16:00 --at "2024-10-01 16:00" --food herring=gross:1kg,tare:0g,left:1kg
  expect 0 tablet meal Sila --slot 10:00 --at "2024-10-02 10:00" --food herring=gross:1kg,tare:0g,left:1kg
  expect 0 tablet exchange
  expect 7 tablet attention --day 2024-10-02 --check
  says "URGENT"; says "ate nothing for over 24 h"; says "2024-10-01 08:00"; says "To be looked at"; says "to be read"; says "(unverified limit)"; says_not "ago ago"
  says "The vet decides"; says "is known as of the last exchange"
  local width; width=$(wc -L <<<"$out"); [[ $width -le 100 ]] || why "a line has $width columns"
  expect 0 tablet attention --day 2024-10-02 --json; local here=$out
  [[ $(field 'd["items"][0]["rule"], d["items"][0]["urgent"]') == "('not_eating', True)" ]] || why "not first: $out"
  expect 0 tablet attention --day 2024-10-02 --json --hub
  [[ $(field 'd["items"]') == "$(out=$here; field 'd["items"]')" ]] || why "the hub lists $(diff <(echo "$here") <(echo "$out") | tr "\n" " ")"
  expect 0 tablet attention --day 2023-01-01 --check; says_not "URGENT"
  expect 2 tablet attention --day soon
}

an_enricher_in_the_way_is_asked_about() {
  expect 0 desk add enricher name="Floating ring" goal=plays gap_days=3d inspect_every_days=30d caution="loose rope ends"
  expect 0 desk add enricher name="Ice block" goal=forages
  expect 0 desk add enrichment_plan animal=Sila first_day=2024-05-01 times_per_week=3
  local at=(--at "2024-05-06 10:00")
  expect 0 desk enrich Sila "${at[@]}"; says "Suggestion: Ice block"; says "inspection due"; says "0 of 3 planned"; says "who knows the animal chooses"
  expect 4 desk enrich Sila ring "${at[@]}"; says "inspection of Floating ring is due"; says "--yes"
  expect 4 desk inspect ring --safe no "${at[@]}"; says "write what was found"
  expect 2 desk inspect ring --safe maybe "${at[@]}"
  expect 0 desk inspect ring --safe yes "${at[@]}"
  expect 0 desk enrich Sila ring --response 3 --minutes 10 "${at[@]}"; says "loose rope ends"
  expect 4 desk enrich Sila ring --at "2024-05-07 10:00"; says "ready from 2024-05-09"
  expect 0 desk --yes enrich Sila ring --at "2024-05-07 10:00"
  expect 0 desk inspect ring --safe no "rope torn" --at "2024-05-08 09:00"; says "take it away"
  expect 4 desk enrich Sila ring --json --at "2024-05-20 10:00"; says "unsafe"
  expect 4 desk enrich Sila ice --response 5 "${at[@]}"
  expect 2 desk enrich Sila --response 3
  expect 0 desk enrich Sila --json --at "2024-05-08 10:00"
  # One that was watched and one that was not: the mean is of the one.
  [[ $(field '[(c["uses"], c["watched"], c["response_thousandths"], c["state"]) for c in d["choices"] if c["name"] == "Floating ring"]') == "[(2, 1, 3000, 'unsafe')]" ]] || why "the ring's figures: $out"
  [[ $(field '(d["uses_this_week"], d["planned_per_week"])') == "(2, 3)" ]] || why "this week against the plan"
}

a_training_session_takes_its_food_along() {
  expect 0 desk add cue name=Target signal=fist criterion="touches within 3 s"
  expect 2 desk train Sila Target --trials 10
  expect 4 desk train Sila Target --trials 8 --successes 10; says "more successes than trials"
  expect 0 desk train Sila Target --trials 10 --successes 8 --minutes 5 --food herring=200g,left:0g --food squid=50g --at "2024-05-06 11:00" --json
  [[ $(field '[r["kind"] for r in d["logged"]]') == "['training_session', 'meal', 'portion', 'portion']" ]] || why "not logged in one piece"
  local session meal; session=$(field 'd["logged"][0]["record"]') meal=$(field 'd["logged"][1]["record"]')
  expect 0 desk show "$meal" --json
  [[ $(field '(d["record"]["fields"]["purpose"], d["record"]["fields"]["session"])') == "('training', '$session')" ]] || why "the meal does not name its session"
  expect 0 desk training Sila --from 2024-05-01 --to 2024-05-31; says "80 %"; says "not enough yet"; says "250 g"
  # Wilson's interval of 8 in 10 by hand, z = 1.959964: (0.8 + z2/20 -+ z sqrt(0.016 + z2/400)) / (1 + z2/10) = 0.4902, 0.9433.
  says "49 to 94.3 %"
  expect 0 desk intake Sila --from 2024-05-06 --to 2024-05-06 --json
  [[ $(field 'd["days"][0]["offered_mg"]') == 250000 ]] || why "food of training is not in the intake"
}

scans_are_of_what_was_visible() {
  expect 0 desk add code topic=behaviour code=rest meaning="still, eyes shut"
  expect 0 desk scan Sila rest=12 swim=4 --not-visible 4 --every 60s --at "2024-05-06 12:00"; says "swim is not in the facility's list"; says_not "rest is not"
  expect 2 desk scan Sila rest=1 rest=2
  expect 2 desk scan Sila rest=-1
  expect 4 desk scan Sila; says "nothing was counted"
  expect 0 desk scans Sila --from 2024-05-01 --to 2024-05-31; says "75 %"; says "still, eyes shut"; says "not visible at 4"
  expect 0 desk scans Sila --from 2024-05-01 --to 2024-05-31 --json; [[ $(field '(d["visible"], d["not_visible"], d["shares"][0]["share_ppm"])') == "(16, 4, 750000)" ]] || why "shares"
  expect 0 desk scans Sila --from 2023-01-01 --to 2023-01-31; says "No scan is recorded"
}

body_and_trend_are_the_hubs() {
  expect 0 desk measure Sila mass=80kg --at "2023-03-01 08:00"
  expect 0 desk measure Sila mass=88kg length_straight=200cm --at "2023-03-11 08:00"
  local day
  for day in 01 02 03 04; do
    expect 0 desk meal Sila --slot 08:30 --food "herring=$((10#$day))kg,left:0g" --at "2023-03-$day 08:30"
  done
  expect 0 desk exchange
  local span=(--from 2023-03-01 --to 2023-03-11) command here
  # 88 over 80 is +10 % or 800 g a day; 88 kg at 200 cm: K = 100 * 88,000 / 200^3 = 1.1, and 10^4 * 88 / 200^3 = 0.11.
  expect 0 desk body Sila "${span[@]}"; says "+10 %"; says "+800 g a day"; says "K 1.1 "; says "condition index 0.11"
  expect 0 desk trend Sila "${span[@]}" --step 5g; says "4 of 11 days complete"; says "No day is marked"; says "never applied by itself"; says "+7 kg a week"
  for command in body trend; do
    expect 0 desk "$command" Sila "${span[@]}"; here=$out
    awk 'length > 100 { exit 1 }' <<<"$here" || why "$command is wider than 100 columns"
    expect 0 desk "$command" Sila "${span[@]}" --hub; [[ $out == "$here" ]] || why "the hub's replica prints other bytes of $command"
    expect 0 desk "$command" Sila "${span[@]}" --json; field 'd["animal"]' >/dev/null || why "no JSON from $command"
  done
  expect 2 desk trend Sila --step 5; expect 2 desk trend Sila --step 0g; expect 2 desk body Sila --from 2023-03-02 --to 2023-03-01
}

a_key_others_can_read_is_exit_5() {
  chmod 644 "$work/tablet/device.key"
  expect 5 tablet here
  chmod 600 "$work/tablet/device.key"
  expect 0 tablet here
}

what_changed_is_told_once_and_page_by_page() {
  local cursor=$work/cursor
  rm -f "$cursor"
  expect 0 desk exchange; expect 0 tablet exchange
  expect 0 tablet changed --cursor "$cursor"; says "from now on"
  expect 0 tablet changed --cursor "$cursor"; says "nothing has changed"
  expect 0 desk observe Sila --code appetite "eager at the hatch"
  expect 0 tablet observe Kobb --code appetite "slow to come"
  expect 0 desk exchange; expect 0 tablet exchange
  expect 0 tablet --json changed --cursor "$cursor"
  [[ $(field '[r["kind"] for r in d["records"]].count("observation")') == 2 ]] || why "not both: $out"
  [[ $(field 'sorted(r["by_this_device"] for r in d["records"] if r["kind"] == "observation")') == "[False, True]" ]] || why "by whom: $out"
  expect 0 tablet changed --cursor "$cursor"; says "nothing has changed"
  echo "no cursor" >"$cursor"
  expect 1 tablet changed --cursor "$cursor"; says "begin with an empty one"
}

one_that_follows_hears_and_sends_by_itself() {
  "$wrack" --dir "$work/tablet" exchange --follow >"$work/follow" 2>&1 &
  follower=$!  # Not local: the trap comes when this function has returned.
  trap 'kill "$follower" 2>/dev/null' EXIT
  for i in {1..100}; do grep -q "^exchanged" "$work/follow" && break; sleep 0.05; done
  expect 0 desk observe Sila --code appetite "waits at the gate"
  expect 0 desk exchange
  for i in {1..100}; do tablet list observation --of Sila 2>/dev/null | grep -q "waits at the gate" && break; sleep 0.1; done
  expect 0 tablet list observation --of Sila; says "waits at the gate"
  expect 0 tablet observe Sila --code appetite "took all of it"
  for i in {1..100}; do "$wrack" --dir "$work/tablet" --json here | grep -q '"unsent": 0,' && break; sleep 0.1; done
  expect 0 tablet --json here; says '"unsent": 0,'
  expect 0 desk exchange
  expect 0 desk list observation --of Sila; says "took all of it"
}

without_the_hub_it_is_exit_6_and_work_goes_on() {
  stop_hub
  expect 6 tablet exchange; says "kept on this device"
  expect 0 tablet observe Sila --code appetite "still writing"
}

the_demo_ends_with_four_equal_replicas() {
  expect 0 timeout 300 "$root/platform-shims/demo" --quick --build "$build"
  says "all four hold the same records"; says "URGENT"; says "CLOCK SUSPECT"
}

the_readmes_day_and_month_run_as_they_stand() { expect 0 timeout 300 "$root/tests/cli/walkthrough.sh" "$build"; }

if ! "$server" init --dir "$work/hub" --name "Skerry Bay Rescue" --time-zone Europe/Oslo --host 127.0.0.1 \
  --admin "Runa Dahl" --no-proofs >"$work/log" 2>&1 || ! start_hub; then
  echo "not ok hub: $(tail -n 1 "$work/log" "$work/hub.log" 2>/dev/null | tail -n 1)"
  exit 1
fi
runs setup
if [[ $failed -eq 0 ]]; then
  for test in usage_is_exit_2 a_directory_without_records_is_exit_3 enrolling_refuses_a_wrong_code_and_a_strange_hub \
    who_writes_must_be_one_known_person numbers_without_a_clear_unit_are_exit_2 amounts_come_back_exactly \
    times_are_the_facilitys ids_may_be_short_or_full a_second_dose_in_a_slot_is_asked_about \
    the_round_shows_what_is_due_and_what_is_done \
    another_parser_reads_the_calendar_over_a_change_of_the_clocks corrections_and_strikes_keep_the_old \
    the_store_adds_up_over_two_devices a_sheet_to_print_is_written_whole json_is_valid_everywhere \
    a_good_sheet_is_imported_by_meal_and_keeper a_bad_sheet_names_every_line_and_imports_nothing \
    tables_go_out_and_come_in bundles_are_idempotent_and_refused_when_altered \
    a_copied_tablet_is_kept_apart_and_taken_in a_disagreement_is_shown_and_settled a_double_entry_is_folded_or_accepted \
    a_closed_day_names_what_was_closed_and_tells_amendments an_area_keeps_pools_checks_and_closed_days_under_a_new_name \
    the_hub_knows_who_signed_in_and_holds_what_nobody_proved a_table_names_areas_that_have_a_record intake_shows_missing_days_and_is_the_hubs \
    water_is_read_judged_and_derived limits_say_where_they_come_from attention_is_urgent_first \
    an_enricher_in_the_way_is_asked_about a_training_session_takes_its_food_along scans_are_of_what_was_visible \
    body_and_trend_are_the_hubs \
    reports_show_gaps_doses_and_what_is_to_be_settled \
    what_changed_is_told_once_and_page_by_page one_that_follows_hears_and_sends_by_itself \
    files_are_attached_sent_and_fetched files_wait_for_records_and_never_the_other_way_round \
    a_pin_signs_in_hands_over_and_locks record_text_never_steers_the_terminal what_is_beyond_a_limit_is_asked_about bad_input_is_refused_asked_about_or_flagged \
    every_report_is_text_json_csv_and_a_page_and_the_hubs_too a_pools_report_has_gaps_and_limits \
    a_month_is_told_as_it_was_recorded retention_only_lists \
    a_link_is_all_a_device_needs_and_a_false_one_keeps_the_code a_device_goes_on_under_another_key \
    a_hubs_key_is_replaced_by_plan_and_when_it_is_lost \
    a_key_others_can_read_is_exit_5 without_the_hub_it_is_exit_6_and_work_goes_on the_demo_ends_with_four_equal_replicas \
    the_readmes_day_and_month_run_as_they_stand; do
    runs "$test"
    if [[ $test == without_the_hub* ]]; then hub_pid=; fi  # The test, a subshell, has stopped it.
  done
fi
exit "$failed"
