#!/usr/bin/env bash
# This test shows what it takes to add a kind of record: it adds one to a copy of the tree, looks for it in the tables of C++
# and TypeScript, and counts the files that were touched.
#
#   tests/new_kind.sh
#
# Prints `ok NAME` or `not ok NAME: why`.
set -uo pipefail
root=$(cd "$(dirname "$0")/.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
trap 'exit 1' INT TERM HUP
"$root/tests/install" tablet >/dev/null || exit 1

check() {  # name, command...
  local name=$1
  shift
  if "$@" >"$work/said" 2>&1; then echo "ok $name"; else
    tail -n 20 "$work/said"
    echo "not ok $name: see above"
  fi
}

tree=$work/tree
mkdir "$tree"
(cd "$root" && git ls-files -z --cached --others --exclude-standard | while IFS= read -r -d '' file; do [[ -e $file ]] && printf '%s\0' "$file"; done |
  tar --null -cf - -T - | tar -xf - -C "$tree")
cp -a "$tree" "$work/before"

# The freezer that food is kept in: a name, a pool's building, and how cold it is to be.
number=$(($(grep -ho '(schema.kind) = {number: [0-9]*\|^    number: [0-9]*' "$tree"/proto/*.proto | grep -o '[0-9]*$' | sort -n | tail -n 1) + 1))
cat >>"$tree/proto/roster.proto" <<END

// A place where food is kept cold.
message Freezer {
  option (schema.kind) = {
    number: $number, needs: ROSTER, called: "name",
    columns: ["NAME: name", "AREA: in_area", ">ALARM ABOVE: alarm_at"]
  };
  string name = 1;
  RecordRef in_area = 2 [(schema.is) = {to: "area"}];
  optional sint64 alarm_at = 3 [(schema.is) = {unit: TEMPERATURE}];
  optional Standing standing = 1000;
  RecordRef same_as = 1001;
  Accepted accepted = 1002;
  Confirmation confirmation = 1003;
}
END
sed -i 's/^void validate_area(.*/&\nvoid validate_freezer(ByteView fields, Problems\& problems);/' "$tree/core/model/rules.h"
cat >"$work/rule" <<'END'
void validate_freezer(ByteView fields, Problems& problems) {
  Freezer freezer;
  if (!read_to_judge(fields, freezer, problems)) return;
  expect(problems, has_text(freezer.name()), Freezer::kNameFieldNumber, ProblemCode::kFreezerHasNoName);
}

END
rules=$tree/core/model/rules_place.cc
awk -v rule="$(cat "$work/rule")" '/^void validate_hygiene_check\(/ { print rule "\n" } { print }' "$rules" >"$work/rules" && cat "$work/rules" >"$rules"
echo 'WRACKLINE_PROBLEM(kFreezerHasNoName, "freezer_has_no_name", "the freezer has no name: give it one")' >>"$tree/core/model/problem_codes.inc"
sed -i 's/^  area_has_no_name: .*/&\n  freezer_has_no_name: "fryseren har ikke noe navn: gi den et navn",/' "$tree/platform-shims/apps/tablet/src/words/nb/problems.ts"
sed -i 's/^    {Kind::kArea, validate_area},/&\n    {Kind::kFreezer, validate_freezer},/' "$tree/core/model/kinds.cc"
sed -i 's/^  area: \["Area", "Areas"\].*/&\n  freezer: ["Freezer", "Freezers"] as [string, string],/' "$tree/platform-shims/apps/tablet/src/words/en/fields.ts"
sed -i 's/^  area: \["Område", "Områder"\].*/&\n  freezer: ["Fryser", "Frysere"],/' "$tree/platform-shims/apps/tablet/src/words/nb/fields.ts"

touched() { diff -rq "$work/before" "$tree" | sed "s#.* $tree/\(.*\) differ#\1#; s#^Only in $tree[/]*\(.*\): #\1/#"; }
touched >"$work/touched"
echo "# touched: $(paste -sd' ' "$work/touched")"
few() {
  cat "$work/touched"
  [[ $(wc -l <"$work/touched") -eq 8 ]]
}
check "a_new_kind_touches_its_message_its_rules_their_row_and_code_and_its_words" few

tables() {
  (cd "$tree/proto" && protoc -I. --include_imports --descriptor_set_out="$work/all" ./*.proto &&
    ./generate "$work/all" --stripped "$work/stripped" --cpp "$work/tables") || return 1
  grep -q "kFreezer = $number," "$work/tables/kind_numbers.inc" && grep -q '"freezer", ">ALARM ABOVE", {"alarm_at"}' "$work/tables/column_rows.inc" &&
    grep -q '"Freezer", .name = "alarm_at".*kTemperature' "$work/tables/field_rows.inc"
}
check "the_tables_have_it" tables

compiles() {
  (cd "$tree/proto" && protoc --descriptor_set_in="$work/stripped" --cpp_out="$work/tables" $(ls -- *.proto | grep -vx schema.proto)) || return 1
  local file
  for file in kinds.cc rules_place.cc field_schema.cc; do
    g++ -std=c++20 -fsyntax-only -I"$work/tables" -I"$tree/core" "$tree/core/model/$file" || return 1
  done
}
check "the_core_takes_it_in" compiles

app=$tree/platform-shims/apps/tablet
types() {
  "$root/tests/npm-packages" "$root/platform-shims/apps/tablet" || return 1
  ln -s "$root/platform-shims/apps/tablet/node_modules" "$app/node_modules"
  mkdir -p "$app/src/core/generated"
  cp "$root/platform-shims/apps/tablet/src/core/generated/." -r "$app/src/core/generated/" 2>/dev/null
  (cd "$app" && ./messages && npx tsc --noEmit)
}
check "the_tablet_takes_it_in" types
# Without its words the app does not compile: nobody can forget them.
wordless() {
  sed -i '/^  freezer: /d' "$app/src/words/nb/fields.ts"
  ! (cd "$app" && npx tsc --noEmit)
}
check "a_kind_without_its_words_is_found" wordless
