# These tests show which entries are asked about before they are written, and which are refused. run.sh
# sources the file, which uses its helpers.

what_is_beyond_a_limit_is_asked_about() {
  expect 0 desk add site_limit subject=Sila of_kind=portion of_field=offered_mg high=5kg note="by the vet"
  local meal=(desk meal Sila --slot 09:00 --food herring=6kg)
  expect 4 "${meal[@]}"; says "STOP AND LOOK"; says "offered 6 kg is above 5 kg"; says "set by Tove Holm"; says "(by the vet)"; says "--yes"
  expect 4 "${meal[@]}" --json
  [[ $(field 'd["error"]["word"]') == unconfirmed ]] || why "another word: $out"
  expect 0 desk list portion --json
  [[ $(field '[r["fields"].get("offered_mg") for r in d["records"]].count(6000000)') == 0 ]] || why "written without a yes"
  # On a terminal the answer is typed.
  printf -v line '%q ' "$wrack" --dir "$work/desk" --as "Tove Holm" "${meal[@]:1}"
  out=$(printf 'no\n' | script -qec "$line" /dev/null) && why "a no was taken for a yes"
  says "Type yes to go on"
  out=$(printf 'yes\n' | script -qec "$line --because 'the vet said so'" /dev/null) || why "a yes was not taken: $out"
  expect 0 desk list portion --json
  [[ $(field '[r["fields"]["confirmation"]["because"] for r in d["records"] if r["fields"].get("offered_mg") == 6000000]') == "['the vet said so']" ]] ||
    why "the record does not carry the confirmation"
  expect 0 desk --yes meal Sila --slot 09:10 --food herring=gross:7.5kg,tare:300g --because "for two days" --json
  local id; id=$(field '[r["record"] for r in d["logged"] if r["kind"] == "portion"][0]')
  expect 0 desk show "$id"; says "for two days [asked: portion: offered 7.2 kg is above 5 kg"
  expect 4 desk correct "$id" tare=0g --reason "wrong dish"; says "7.5 kg is above 5 kg"
  expect 0 desk correct "$id" gross=5kg --reason "wrong dish"
}

bad_input_is_refused_asked_about_or_flagged() {
  local at=(--at "2024-10-05 08:00")
  for food in herring=-1kg herring=1,200kg herring=1kgs herring=1L; do expect 2 desk meal Kobb --slot 08:30 --food "$food" "${at[@]}"; done
  expect 0 desk meal Kobb --slot 08:30 --food "herring=0,5kg,left:0,6kg" "${at[@]}"   # A decimal comma; more left than offered.
  expect 0 desk list portion --of "$(first_id)"; says "500 g"; says "600 g"
  expect 4 desk meal Kobb --slot 08:31 --food herring=120kg "${at[@]}"; says "120 kg is above 100 kg, which is improbable"
  expect 4 desk --yes meal Kobb --slot 08:31 --food herring=1200kg "${at[@]}"; says "more than 1000 kg"
  expect 4 desk measure Kobb mass=84kg --at "2099-01-01 08:00"; says "is yet to come"
  expect 3 desk meal Kobbe --slot 08:30 --food herring=1kg
  expect 0 desk add animal name=Guest pool=Seal
  local guest; guest=$(first_id)
  expect 0 desk strike "$guest" --reason "went on to another centre"
  expect 4 desk measure "$guest" mass=20kg "${at[@]}"; says "Guest was struck by Tove Holm"
  expect 0 desk --yes measure "$guest" mass=20kg "${at[@]}"
  expect 0 desk measure Kobb mass=84kg; local early; early=$(first_id)
  expect 0 desk add day_close area=yard day="$(TZ=Europe/Oslo date +%F)"
  expect 4 desk measure Kobb mass=85kg; says "of yard was closed by Tove Holm at"; says "this will be an amendment"
  expect 4 desk correct "$early" value=85kg --reason "read again"; says "amendment"
  expect 4 desk strike "$early" --reason "another one's"; says "amendment"
  expect 0 desk --yes correct "$early" value=85kg --reason "read again" --because "the scale was wet"
  expect 0 desk trail "$early"; says "the scale was wet"
  expect 0 desk attention; says "changed after"
}
