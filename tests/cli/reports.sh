# Scenarios of reports, pages and the calendar, for run.sh, which sources this file and has the helpers, the hub and the two
# devices. What is written for people is read back here by parsers that are not the project's.

# Evaluates an expression on the report that --json put into $out; `rows("days")` are the rows of all tables of that code.
in_tables() {
  python3 -c 'import json,sys
d = json.load(sys.stdin)
print(eval(sys.argv[1], {"d": d, "rows": lambda code: [row for table in d["tables"] if table["table"] == code for row in table["rows"]]}))' "$1" <<<"$out"
}

# A parser that is not ours reads the page: a page that is no XML, or has a script or anything to load, fails.
page_is_sound() {
  expect 0 python3 - "$1" <<'PY'
import sys, xml.etree.ElementTree as tree
page = tree.parse(sys.argv[1]).getroot()
assert page.tag == "html" and page.find("body/header/h1").text, "no title"
for node in page.iter():
    assert not node.tag.endswith(("script", "link", "img", "iframe")), node.tag
    assert not any(name in ("src", "onload", "onerror") or name.endswith("href") for name in node.attrib), node.attrib
for table in page.iter("table"):
    columns = len(table.findall("thead/tr/th"))
    assert columns and all(len(row) == columns for row in table.findall("tbody/tr")), "a row has other columns than its table"
PY
}

# The calendar by a parser that is not ours: Debian's icalendar, with the system's time-zone data. It is one of the
# packages of tests/packages.txt, so that its absence is a failure.
another_parser_reads_the_calendar_over_a_change_of_the_clocks() {
  # On 2023-10-29 the clocks in Oslo went back at 03:00; 2023-03-26 they went forward at 02:00.
  expect 0 "$wrack" --dir "$work/tablet" --as mara add treatment_order animal=Kobb preparation="Drops; two, then \\ one æøå" dose=1mL \
    route="in fish" slots=08:30,20:30 first_day=2023-10-28 last_day=2023-10-30 daily_max=2 interval=10h ordered_by=mara
  expect 0 "$wrack" --dir "$work/tablet" --as mara add treatment_order animal=Sila preparation="By the hour" dose=2mL \
    route="in fish" every=8h first_day=2023-10-28 last_day=2023-10-30 ordered_by=mara
  expect 0 tablet dose Sila --at "2023-10-28 06:00" --outcome given
  local day
  for day in 2023-10-28 2023-10-29 2023-10-30; do
    expect 0 tablet round --day "$day" --calendar "$work/$day.ics"
    tablet round --day "$day" --json >"$work/$day.json"
  done
  expect 0 /usr/bin/python3 "$root/tests/cli/calendar_check.py" Europe/Oslo "$work/2023-10-28" "$work/2023-10-29" \
    "$work/2023-10-30"
  says "08:30 to 08:30 is 25 h over the change"
}

reports_show_gaps_doses_and_what_is_to_be_settled() {
  expect 0 desk report animal Sila --from 2024-08-01 --to 2024-08-03; says "unrecorded"; says "no diagnosis"
  expect 0 desk report animal Sila --from 2024-08-01 --to 2024-08-03 --html "$work/sila.html"
  grep -q '<svg ' "$work/sila.html" || why "the page has no chart"
  grep -q '<desc>' "$work/sila.html" || why "the chart has no description"
  expect 0 desk report animal Sila --from 2024-08-01 --to 2024-08-03 --csv "$work/sila.csv"
  [[ $(grep -c '^2024-08-0[1-3],' "$work/sila.csv") == 3 ]] || why "not a line a day: $(cat "$work/sila.csv")"
  grep -q ',unrecorded,,,,,' "$work/sila.csv" || why "an unrecorded day is not empty: $(cat "$work/sila.csv")"
  expect 0 desk report animal Sila --from 2024-08-01 --to 2024-08-03 --json
  [[ $(in_tables 'len([x for x in rows("days") if x["meals"] == "unrecorded"]) > 0 and all("eaten_mg" not in x for x in rows("days") if x["meals"] == "unrecorded")') == True ]] ||
    why "an unrecorded day has figures"
  expect 0 desk report day 2024-09-01 --json
  [[ $(in_tables '[x["state"] for x in rows("doses")]') == "['missed', 'missed']" ]] || why "the doses of a past day are $(in_tables 'rows("doses")')"
  expect 0 desk report day 2024-09-01; says "MISSED"; says "Check animal, preparation"; says "not the same as nothing seen"
  expect 0 desk report treatments Kobb --from 2024-09-01 --to 2024-09-02; says "20:30"; says "MISSED"; says "In doubt, hold"
  expect 2 desk report animal Sila --from 2024-08-03 --to 2024-08-01
  expect 2 desk report animal Sila --html "$work/a" --csv "$work/b"
  expect 3 desk report animal Nobody
}

every_report_is_text_json_csv_and_a_page_and_the_hubs_too() {
  expect 0 desk read "Seal pool" temperature=11.5C --at "2024-08-01 09:00" --instrument '<probe & "2">'
  expect 0 desk read "Seal pool" temperature=12C --at "2024-08-03 09:00"
  expect 0 desk observe Sila --code appetite --at "2024-08-02 09:00" '<i>slow & "shy"</i>'
  expect 0 desk exchange
  local span=(--from 2024-08-01 --to 2024-08-03) report here
  local reports=("animal Sila ${span[*]}" "day 2024-08-01" "month 2024-08" "treatments Kobb --from 2024-09-01 --to 2024-09-02"
    "water Seal ${span[*]}" "retention --day 2026-01-01")
  for report in "${reports[@]}"; do
    # shellcheck disable=SC2086  # The words of a report.
    expect 0 desk report $report; here=$(tail -n +3 <<<"$out")
    awk 'length > 100 { exit 1 }' <<<"$here" || why "\"report $report\" is wider than 100 columns"
    expect 0 desk report $report --hub; says "As the hub knows it."
    [[ $(tail -n +3 <<<"$out") == "$here" ]] || why "the hub's replica tells another report of $report"
    expect 0 desk report $report --json; field 'd["known_as_of_ms"] > 0' | grep -q True || why "$report does not say what it knows"
    expect 0 desk report $report --html "$work/report.html"; page_is_sound "$work/report.html"
    expect 0 desk report $report --csv "$work/report.csv"
    expect 0 python3 -c 'import csv,sys; rows=list(csv.reader(open(sys.argv[1], newline=""))); assert len(rows) > 1 and all(len(r) == len(rows[0]) for r in rows)' "$work/report.csv"
    expect 2 desk report $report --csv "$work/a" --html "$work/b"
  done
}

a_pools_report_has_gaps_and_limits() {
  local span=(--from 2024-08-01 --to 2024-08-03)
  expect 0 desk report water Seal "${span[@]}"; says "Read on 2 of 3 days"; says "calibrate"
  expect 0 desk report water Seal "${span[@]}" --json
  [[ $(in_tables '[(x["day"], x["value"]) for x in rows("readings") if x["parameter"] == "temperature"]') == "[('2024-08-01', 11500), ('2024-08-03', 12000)]" ]] ||
    why "the readings are $(in_tables 'rows("readings")')"
  expect 0 desk report water Seal "${span[@]}" --html "$work/water.html"
  # Two readings with a day between: two points, and no line from one to the other.
  grep -A9 '<title>Temperature' "$work/water.html" >/dev/null || why "no chart of the temperature"
  expect 0 python3 -c 'import re,sys
d = re.search(r"<title>Temperature.*? d=\"([^\"]*)\" fill=\"none\" stroke=\"#111\"", open(sys.argv[1]).read(), re.S).group(1)
assert d.count("M") == 2 and "L" not in d, d' "$work/water.html"
  expect 3 desk report water Nowhere
}

a_month_is_told_as_it_was_recorded() {
  expect 0 desk report month 2023-03; says "Of 31 days"; says "2.5 kg"; says "10 %"; says "no diagnosis"
  expect 0 desk report month 2023-03 --json
  # Meals of 1 to 4 kg on four days, wholly eaten; 80 kg and 88 kg (see body_and_trend_are_the_hubs).
  [[ $(in_tables '[(a["days_recorded"], a["eaten_mean_mg"], a["mass_change_ppm"]) for a in rows("animals") if a["animal_name"] == "Sila"]') == "[(4, 2500000, 100000)]" ]] ||
    why "the month is $(in_tables 'rows("animals")')"
  [[ $(in_tables '["eaten_mean_mg" in a for a in rows("animals") if a["animal_name"] == "Kobb"]') == "[False]" ]] || why "nothing recorded became a mean"
  expect 2 desk report month 2023-13
  expect 2 desk report month 2999-01
}

retention_only_lists() {
  expect 0 desk digest; local before=$out
  expect 0 desk report retention --day 2024-03-05; says "9 CFR 3.105(c)"; says "21 CFR 1304.04(a)"; says "is a floor"; says "removes"
  expect 0 desk report retention --day 2024-03-05 --json
  # The meals of 1 to 4 March 2023 must be kept for one year: all of them through 4 March 2024, none from the 5th on.
  local sila='[(c["past_minimum"]) for c in rows("counts") if c["kind"] == "meal" and c.get("animal_name") == "Sila"]'
  [[ $(in_tables "$sila") == "[4]" ]] || why "past the minimum on 5 March: $(in_tables "$sila")"
  expect 0 desk report retention --day 2024-03-01 --json
  [[ $(in_tables "$sila") == "[0]" ]] || why "past the minimum on 1 March: $(in_tables "$sila")"
  [[ $(in_tables 'all("minimum_years" not in c for c in rows("counts") if c["kind"] == "person")') == True ]] || why "a floor nobody named"
  expect 0 desk digest; [[ $out == "$before" ]] || why "a list changed the records"
}
