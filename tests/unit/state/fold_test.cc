// Goal: the merge is correct whatever arrives in whatever order. Method: random histories of one record by
// devices that had or had not seen each other's changes, folded as a set in many ways; and the few cases a
// keeper would name.
#include "state/fold.h"

#include <catch2/catch.hpp>
#include <algorithm>
#include <deque>
#include <map>
#include <set>

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "support/change_world.h"

using namespace wrackline;

namespace {
// A fold compares checks, whatever they are of.
std::uint32_t made_check(ByteView bytes) { return first4(sha256(bytes)); }
}  // namespace

namespace {

struct Outcome {
  Bytes merged;
  Bytes disagreements;
  std::uint32_t kind;
  bool operator==(const Outcome& o) const {
    return merged == o.merged && disagreements == o.disagreements && kind == o.kind;
  }
};

Outcome outcome_of(const Folded& folded) { return {folded.merged(), folded.disagreements(), folded.kind}; }

Outcome fold_in_order(const RecordHistory& history, const std::vector<std::size_t>& order) {
  std::vector<FoldInput> inputs;
  for (std::size_t i : order) inputs.push_back(history.input(i));
  return outcome_of(fold(history.record, std::move(inputs)));
}

std::vector<std::size_t> all_of(const RecordHistory& history) {
  std::vector<std::size_t> order(history.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  return order;
}

// A second, independent reading of the rules, as plain as it can be: for every field, all (change, value)
// pairs less those some other assigning change names.
std::map<std::uint32_t, std::set<ChangeId>> heads_by_the_book(const RecordHistory& history) {
  std::map<std::uint32_t, std::set<ChangeId>> assigning;
  for (std::size_t i = 0; i < history.size(); ++i) {
    const Change change = history.input(i).change;
    WireReader reader(change.fields);
    WireField field;
    while (reader.next(field)) assigning[field.number].insert(history.ids[i]);
    for (std::uint32_t c : change.clears) assigning[c].insert(history.ids[i]);
  }
  auto heads = assigning;
  for (std::size_t i = 0; i < history.size(); ++i) {
    for (const Replaced& r : history.input(i).change.replaces) {
      for (std::uint32_t f : r.fields) {
        if (assigning[f].count(history.ids[i]) != 0) heads[f].erase(r.change);
      }
    }
  }
  return heads;
}

}  // namespace

TEST_CASE("any order, repetition and grouping of the same changes folds to the same record",
          "[state][laws]") {
  Random random = test_random("fold permutations");
  for (int round = 0; round < 10'000; ++round) {
    const RecordHistory history = random_history(random, 8);
    std::vector<std::size_t> order = all_of(history);
    const Outcome expected = fold_in_order(history, order);
    random.shuffle(order);
    REQUIRE(fold_in_order(history, order) == expected);
    for (std::size_t i = random.below(4); i > 0; --i) order.push_back(random.pick(order));
    random.shuffle(order);
    REQUIRE(fold_in_order(history, order) == expected);
  }
}

TEST_CASE("every permutation of up to six changes folds to the same record", "[state][laws]") {
  Random random = test_random("fold all permutations");
  for (int round = 0; round < 40; ++round) {
    const RecordHistory history = random_history(random, 5);
    std::vector<std::size_t> order = all_of(history);
    const Outcome expected = fold_in_order(history, order);
    do {
      REQUIRE(fold_in_order(history, order) == expected);
    } while (std::next_permutation(order.begin(), order.end()));
  }
}

TEST_CASE("heads are exactly the assignments nobody replaces, and no assignment is ever lost",
          "[state][laws]") {
  Random random = test_random("fold heads");
  std::size_t disagreements_seen = 0;
  for (int round = 0; round < 10'000; ++round) {
    const RecordHistory history = random_history(random, 8);
    std::vector<FoldInput> inputs;
    for (std::size_t i = 0; i < history.size(); ++i) inputs.push_back(history.input(i));
    const Folded folded = fold(history.record, std::move(inputs));
    const auto expected = heads_by_the_book(history);
    REQUIRE(folded.fields.size() == expected.size());
    for (const auto& [number, field] : folded.fields) {
      std::set<ChangeId> heads, all;
      for (const Assignment& a : field.assignments) {
        all.insert(folded.inputs[a.input].id);
        if (a.head) heads.insert(folded.inputs[a.input].id);
      }
      REQUIRE(heads == expected.at(field.number));
      REQUIRE(heads.size() >= 1);
      // A strike may disagree with edits of other fields too; that has a test of its own below.
      if (field.number != kStandingField) REQUIRE(field.in_disagreement() == (heads.size() > 1));
      if (heads.size() > 1) REQUIRE(field.in_disagreement());
      disagreements_seen += field.in_disagreement();
      for (std::size_t i = 0; i < history.size(); ++i) {
        const Change change = history.input(i).change;
        bool assigns =
            std::find(change.clears.begin(), change.clears.end(), field.number) != change.clears.end();
        WireReader reader(change.fields);
        WireField f;
        while (reader.next(f)) assigns = assigns || f.number == field.number;
        REQUIRE(assigns == (all.count(history.ids[i]) == 1));
      }
    }
  }
  REQUIRE(disagreements_seen > 1000);  // The histories do disagree, or this test shows nothing.
}

TEST_CASE("fields no release of ours knows survive edits of other fields byte for byte", "[state][laws]") {
  Bytes birth_fields;
  append_bytes_field(birth_fields, 1, "Pebble pool");
  append_bytes_field(birth_fields, 4711, "from a newer release");
  Change birth;
  birth.stamp = Stamp::of(1000, 0);
  birth.kind = 4;
  birth.fields = birth_fields;
  const Bytes birth_bytes = write_change(birth);
  const ChangeId record{LogId{1}, 1};
  Bytes edit_fields;
  append_bytes_field(edit_fields, 1, "Pebble pool, north");
  Change edit;
  edit.stamp = Stamp::of(2000, 0);
  edit.record = record;
  edit.fields = edit_fields;
  edit.replaces.push_back({record, made_check(birth_bytes), {1}});
  const Bytes edit_bytes = write_change(edit);
  const Folded folded = fold(record, {{record, made_check(birth_bytes), *read_change(birth_bytes)},
                                      {{LogId{2}, 1}, made_check(edit_bytes), *read_change(edit_bytes)}});
  Bytes expected = edit_fields;
  append_bytes_field(expected, 4711, "from a newer release");
  REQUIRE(folded.merged() == expected);
}

TEST_CASE("a strike and an edit of any other field disagree exactly when neither had seen the other", "[state]") {
  const ChangeId record{LogId{1}, 1}, edit_id{LogId{2}, 1}, strike_id{LogId{3}, 1};
  Bytes birth_fields, edit_fields, strike_fields;
  append_bytes_field(birth_fields, 1, "Pebble pool");
  append_varint_field(edit_fields, 3, 5000);
  append_varint_field(strike_fields, kStandingField, kStruck);
  const auto bytes_of = [&](RecordId of, ByteView fields, std::uint64_t ms, std::vector<Replaced> seen) {
    Change change;
    change.stamp = Stamp::of(ms, 0);
    if (of) change.record = of; else change.kind = 4;
    change.fields = fields;
    change.replaces = std::move(seen);
    return write_change(change);
  };
  const Bytes birth = bytes_of({}, birth_fields, 1000, {});
  const Bytes blind_edit = bytes_of(record, edit_fields, 2000, {});
  const Bytes blind_strike = bytes_of(record, strike_fields, 3000, {});
  const Bytes knowing_strike = bytes_of(record, strike_fields, 3000, {{edit_id, made_check(blind_edit), {3}}});
  const Bytes knowing_edit = bytes_of(record, edit_fields, 4000, {{strike_id, made_check(blind_strike), {kStandingField}}});
  const auto standing_disagrees = [&](const Bytes& edit, const Bytes& strike) {
    const Folded folded = fold(record, {{record, made_check(birth), *read_change(birth)},
                                        {edit_id, made_check(edit), *read_change(edit)},
                                        {strike_id, made_check(strike), *read_change(strike)}});
    REQUIRE(folded.fields.size() == 3);
    REQUIRE(folded.fields.at(3).heads == 1);
    REQUIRE_FALSE(folded.fields.at(3).in_disagreement());
    REQUIRE(folded.disagreements().empty() != folded.fields.at(kStandingField).in_disagreement());
    return folded.fields.at(kStandingField).in_disagreement();
  };
  REQUIRE(standing_disagrees(blind_edit, blind_strike));
  REQUIRE_FALSE(standing_disagrees(blind_edit, knowing_strike));
  REQUIRE_FALSE(standing_disagrees(knowing_edit, blind_strike));
  // A strike alone disagrees with nothing.
  const Folded alone = fold(record, {{record, made_check(birth), *read_change(birth)},
                                     {strike_id, made_check(blind_strike), *read_change(blind_strike)}});
  REQUIRE(alone.disagreements().empty());
}

TEST_CASE("a replacement that names another branch's bytes replaces nothing", "[state]") {
  Bytes fields;
  append_varint_field(fields, 1, 5);
  Change birth;
  birth.stamp = Stamp::of(1000, 0);
  birth.kind = 4;
  birth.fields = fields;
  const Bytes birth_bytes = write_change(birth);
  const ChangeId record{LogId{1}, 1};
  Change edit = birth;
  edit.kind = 0;
  edit.record = record;
  edit.replaces.push_back({record, made_check(birth_bytes) + 1, {1}});
  const Bytes edit_bytes = write_change(edit);
  const Folded folded = fold(record, {{record, made_check(birth_bytes), *read_change(birth_bytes)},
                                      {{LogId{2}, 1}, made_check(edit_bytes), *read_change(edit_bytes)}});
  REQUIRE(folded.fields.size() == 1);
  REQUIRE(folded.fields.at(1).heads == 2);
}

TEST_CASE("a record only its birth has touched merges to its fields by number", "[state]") {
  Bytes fields;
  append_varint_field(fields, 3, 1);
  append_varint_field(fields, 1, 2);
  append_varint_field(fields, 3, 4);
  Bytes expected;
  append_varint_field(expected, 1, 2);
  append_varint_field(expected, 3, 1);
  append_varint_field(expected, 3, 4);
  REQUIRE(merged_birth(fields) == expected);
  REQUIRE(merged_birth(expected) == expected);
}

TEST_CASE("changes joined one by one fold to the same record as all at once", "[state][laws]") {
  Random random = test_random("fold one by one");
  std::size_t joined = 0;
  for (int round = 0; round < 5'000; ++round) {
    const RecordHistory history = random_history(random, 8);
    std::vector<FoldInput> inputs;
    for (std::size_t i = 0; i < history.size(); ++i) inputs.push_back(history.input(i));
    const Folded whole = fold(history.record, inputs);
    Folded one_by_one(history.record);
    for (const FoldInput& input : whole.inputs) {
      REQUIRE(one_by_one.add(input));
      ++joined;
    }
    REQUIRE(outcome_of(one_by_one) == outcome_of(whole));
    // A change that is not the latest is turned away, and changes nothing.
    REQUIRE_FALSE(one_by_one.add(random.pick(whole.inputs)));
    REQUIRE(outcome_of(one_by_one) == outcome_of(whole));
  }
  REQUIRE(joined > 10'000);
}

TEST_CASE("strikes and edits of one record disagree by the rule for each pair of them", "[state][laws]") {
  Random random = test_random("fold strikes");
  std::size_t seen_against = 0;
  for (int round = 0; round < 3'000; ++round) {
    const ChangeId record{LogId{1}, 1};
    std::deque<Bytes> bytes;  // Inputs point into them.
    std::vector<FoldInput> inputs;
    for (Seq i = 1; i <= 8; ++i) {
      Change change;
      Bytes fields;
      change.stamp = Stamp::of(1000 + random.below(6), i);
      if (i == 1) change.kind = 4;
      if (i > 1) change.record = record;
      if (i == 1 || !random.once_in(2)) append_varint_field(fields, 1 + static_cast<std::uint32_t>(random.below(2)), i);
      if (i > 1 && (fields.empty() || random.once_in(4))) append_varint_field(fields, kStandingField, kStruck);
      for (const FoldInput& seen : inputs) {
        if (random.once_in(3)) change.replaces.push_back({seen.id, seen.check, {1, kStandingField}});
        if (random.once_in(6)) change.replaces.push_back({seen.id, seen.check + 1, {1, 2, kStandingField}});
      }
      change.fields = fields;
      bytes.push_back(write_change(change));
      inputs.push_back({{LogId{1}, i}, made_check(bytes.back()), *read_change(bytes.back())});
    }
    const Folded folded = fold(record, inputs);
    const auto names = [&](std::size_t by, std::size_t other, std::uint32_t field) {
      for (const Replaced& r : folded.inputs[by].change.replaces) {
        const bool is_meant = r.change == folded.inputs[other].id && r.check == folded.inputs[other].check;
        if (is_meant && std::count(r.fields.begin(), r.fields.end(), field) != 0) return true;
      }
      return false;
    };
    std::set<std::size_t> expected;
    const auto standing = folded.fields.find(kStandingField);
    if (standing == folded.fields.end()) continue;
    for (const Assignment& strike : standing->second.assignments) {
      for (const auto& [number, field] : folded.fields) {
        for (const Assignment& value : field.assignments) {
          if (!strike.head || !value.head || number == kStandingField || value.input == strike.input) continue;
          if (folded.inputs[value.input].change.is_birth()) continue;
          if (!names(strike.input, value.input, number) && !names(value.input, strike.input, kStandingField)) expected.insert(value.input);
        }
      }
    }
    const auto& against = standing->second.against;
    REQUIRE(std::set<std::size_t>(against.begin(), against.end()) == expected);
    seen_against += against.size();
  }
  REQUIRE(seen_against > 1000);
}
