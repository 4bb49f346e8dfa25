# Areas as records; sourced by run.sh.

shows_in() { grep -q "$1 .*$2" <<<"$out" || why "$1 is not in $2: $(grep "$1" <<<"$out")"; }  # pool, area

an_area_keeps_pools_checks_and_closed_days_under_a_new_name() {
  local day=2024-06-25
  local -a of_day=(--from "$day" --to "$day")
  expect 3 desk add pool name="Otter pool" area=Quay; says 'no area here is called "Quay"'; says "wrack add area"
  expect 0 desk add area name=Quay note="by the gate"
  local area; area=$(first_id)
  expect 0 desk list area; says "by the gate"
  expect 0 desk add pool name="Otter pool" area=quay
  local pool; pool=$(first_id)
  expect 0 desk show "$pool"; says "Quay"
  expect 0 desk add hygiene_check area=Quay task="foot baths" passed=yes --at "$day 08:00"
  expect 3 desk --yes close --area Qay --day "$day"; says "no area is called Qay"
  expect 0 desk --yes close --area Quay --day "$day"; says "1 records, 1 changes"
  expect 0 desk correct "$area" name=Harbour --reason "called so since the rebuilding"
  expect 0 desk list pool; shows_in "Otter pool" Harbour; says_not "Quay"
  expect 0 desk here; shows_in "Otter pool" Harbour
  expect 0 desk list hygiene_check "${of_day[@]}"; says "Harbour"
  expect 0 desk closes --area Harbour "${of_day[@]}"; says "what was closed is here as it was closed"; says "No amendment since"
  expect 0 desk closes --area Quay "${of_day[@]}"; says "No day of these was closed"
  expect 0 desk correct "$pool" area= --reason "drained"
  expect 0 desk list pool; says_not "Harbour"
}

a_table_names_areas_that_have_a_record() {
  local table=$work/pools.csv
  printf 'name,area\r\nLee pool,Harbour\r\nLost pool,Nowhere\r\n' >"$table"
  expect 4 desk import pool "$table"; says 'no area here is called "Nowhere"'; says "wrack add area"
  expect 0 desk list pool; says_not "Lee pool"
  printf 'name,area\r\nLee pool,Harbour\r\n' >"$table"
  expect 0 desk --yes import pool "$table"
  expect 0 desk list pool; shows_in "Lee pool" Harbour
  expect 0 desk export pool --csv "$table"
  grep -q '^id,name,area,volume_l,in_area' "$table" || why "the columns are $(head -n 1 "$table")"
  grep -q ',Lee pool,Harbour,' "$table" || why "the table does not name the area"
}
