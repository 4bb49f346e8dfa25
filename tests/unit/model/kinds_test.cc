// model/kinds.h: the table of kinds, where a record is found, and the fields every kind has.
#include "model/kinds.h"

#include <google/protobuf/stubs/logging.h>

#include <algorithm>
#include <catch2/catch.hpp>

#include "records.pb.h"
#include "support/random.h"

using namespace wrackline;

namespace {

constexpr RecordId kAnimalId{{0xa1}, 7};
constexpr RecordId kOtherId{{0xa2}, 9};

template <typename Ref>
void set_ref(Ref* ref, RecordId id) {
  ref->set_log(id.log.value);
  ref->set_seq(id.seq);
}

RecordKey key_of(Kind kind, const google::protobuf::MessageLite& message) {
  return record_key(*find_kind(static_cast<std::uint32_t>(kind)), message.SerializeAsString());
}

bool same_key(const RecordKey& a, const RecordKey& b) {
  return a.subject == b.subject && a.day == b.day && a.detail == b.detail &&
         a.detail_record == b.detail_record;
}

Problems problems_of(const KindRow& row, ByteView fields) {
  Problems problems;
  row.validate(fields, problems);
  return problems;
}

}  // namespace

// Numbers and names stand in stored changes and scripts: from proto/records.proto, never to change.
TEST_CASE("the table holds the kinds under their numbers and names", "[model]") {
  const char* names[] = {"facility",    "person",          "device",        "pool",    "animal",
                         "food",        "diet_plan",       "meal",          "portion", "measure",
                         "observation", "treatment_order", "administration",
                         "lot", "stock_movement", "thaw_batch", "enricher", "inspection", "enrichment_use",
                         "enrichment_plan", "cue", "training_session", "watch_plan", "code", "scan",
                         "water_reading", "water_limit", "tag", "move", "hygiene_check", "day_close", "site_limit",
                         "hold", "attachment", "area", "presence", "hub_act", "pin_warning", "former_role"};
  REQUIRE(all_kinds().size() == 39);
  for (std::uint32_t kind = 1; kind <= 39; ++kind) {
    const KindRow* row = find_kind(kind);
    REQUIRE(row != nullptr);
    CHECK(static_cast<std::uint32_t>(row->kind) == kind);
    CHECK(row->name == names[kind - 1]);
    CHECK(row->validate != nullptr);
  }
}

TEST_CASE("a kind of a newer release is not in the table, and no record has kind 0", "[model]") {
  CHECK(find_kind(0) == nullptr);
  CHECK(find_kind(40) == nullptr);
  CHECK(find_kind(0xffffffff) == nullptr);
}

TEST_CASE("a possible double dose is urgent, a double meal, portion or weighing is to be checked",
          "[model]") {
  for (const KindRow& row : all_kinds()) {
    CAPTURE(row.name);
    ReviewLevel expected = ReviewLevel::kNone;
    if (row.name == "administration") expected = ReviewLevel::kUrgent;
    if (row.name == "enrichment_use") expected = ReviewLevel::kNote;
    if (row.name == "meal" || row.name == "portion" || row.name == "measure") expected = ReviewLevel::kCheck;
    CHECK(row.double_entry == expected);
    // A double entry is told by the key, so such a kind has one.
    if (expected != ReviewLevel::kNone) CHECK(row.key.subject != 0);
  }
}

TEST_CASE("a meal is told by animal, day and slot", "[model]") {
  proto::Meal meal;
  set_ref(meal.mutable_animal(), kAnimalId);
  meal.set_day(-3);
  meal.set_slot_min(540);
  meal.set_note("left the fins");
  const RecordKey key = key_of(Kind::kMeal, meal);
  CHECK(key.subject == kAnimalId);
  CHECK(key.day == -3);
  CHECK(key.detail == 540);
  CHECK_FALSE(key.detail_record);

  proto::Meal same = meal;
  same.set_note("ate well");
  same.set_happened_ms(5);
  CHECK(same_key(key, key_of(Kind::kMeal, same)));
  proto::Meal later = meal;
  later.set_slot_min(541);
  CHECK_FALSE(same_key(key, key_of(Kind::kMeal, later)));
}

TEST_CASE("a meal without a slot is not taken for the meal at midnight", "[model]") {
  proto::Meal midnight, without;
  set_ref(midnight.mutable_animal(), kAnimalId);
  set_ref(without.mutable_animal(), kAnimalId);
  midnight.set_slot_min(0);
  CHECK_FALSE(same_key(key_of(Kind::kMeal, midnight), key_of(Kind::kMeal, without)));
  CHECK(same_key(key_of(Kind::kMeal, without), key_of(Kind::kMeal, without)));
}

TEST_CASE("a portion is told by meal and food", "[model]") {
  proto::Portion portion;
  set_ref(portion.mutable_meal(), kAnimalId);
  set_ref(portion.mutable_food(), kOtherId);
  portion.set_offered_mg(5);
  const RecordKey key = key_of(Kind::kPortion, portion);
  CHECK(key.subject == kAnimalId);
  CHECK(key.detail_record == kOtherId);
  CHECK(key.day == 0);
  CHECK(key.detail == 0);
}

TEST_CASE("a measurement is told by animal, day and quantity", "[model]") {
  proto::Measure measure;
  set_ref(measure.mutable_animal(), kAnimalId);
  measure.set_day(20000);
  measure.set_quantity(proto::QUANTITY_MASS);
  measure.set_value(12'000'000);
  const RecordKey mass = key_of(Kind::kMeasure, measure);
  CHECK(mass.subject == kAnimalId);
  CHECK(mass.day == 20000);
  measure.set_value(12'000'001);
  CHECK(same_key(mass, key_of(Kind::kMeasure, measure)));
  measure.set_quantity(proto::QUANTITY_GIRTH);
  CHECK_FALSE(same_key(mass, key_of(Kind::kMeasure, measure)));
}

TEST_CASE("a dose is told by order, due day and due slot, whatever became of it", "[model]") {
  proto::Administration dose;
  set_ref(dose.mutable_order(), kOtherId);
  dose.set_due_day(20001);
  dose.set_due_slot_min(480);
  dose.set_outcome(proto::OUTCOME_GIVEN);
  const RecordKey key = key_of(Kind::kAdministration, dose);
  CHECK(key.subject == kOtherId);
  CHECK(key.day == 20001);
  CHECK(key.detail == 480);
  proto::Administration other = dose;
  other.set_outcome(proto::OUTCOME_UNKNOWN);
  other.set_happened_ms(99);
  CHECK(same_key(key, key_of(Kind::kAdministration, other)));
  other.set_due_slot_min(960);
  CHECK_FALSE(same_key(key, key_of(Kind::kAdministration, other)));
}

TEST_CASE("observations, plans and orders are found by their animal, the roster by kind alone", "[model]") {
  proto::Observation seen;
  set_ref(seen.mutable_animal(), kAnimalId);
  seen.set_day(12);
  CHECK(key_of(Kind::kObservation, seen).subject == kAnimalId);
  CHECK(key_of(Kind::kObservation, seen).day == 12);
  proto::DietPlan plan;
  set_ref(plan.mutable_animal(), kAnimalId);
  plan.set_first_day(12);
  CHECK(key_of(Kind::kDietPlan, plan).subject == kAnimalId);
  proto::TreatmentOrder order;
  set_ref(order.mutable_animal(), kAnimalId);
  CHECK(key_of(Kind::kTreatmentOrder, order).subject == kAnimalId);
  for (Kind kind : {Kind::kFacility, Kind::kPerson, Kind::kDevice, Kind::kPool, Kind::kAnimal, Kind::kFood}) {
    CHECK(find_kind(static_cast<std::uint32_t>(kind))->key.subject == 0);
  }
}

TEST_CASE("a key is read past fields of a newer release", "[model]") {
  proto::Meal meal;
  set_ref(meal.mutable_animal(), kAnimalId);
  meal.set_day(5);
  // Field 77, length-delimited, and field 78, varint: neither is known.
  const Bytes fields = Bytes("\xea\x04\x03new", 6) + meal.SerializeAsString() + Bytes("\xf0\x04\x01", 3);
  const KindRow* row = find_kind(8);
  CHECK(record_key(*row, fields).subject == kAnimalId);
  CHECK(record_key(*row, fields).day == 5);
  CHECK(problems_of(*row, fields).empty());
}

TEST_CASE("the key's field numbers are those of the kind's message", "[model]") {
  // A row that named another field would find its records, and its double entries, nowhere.
  const auto fields_of = [](Kind kind) { return find_kind(static_cast<std::uint32_t>(kind))->key; };
  CHECK(fields_of(Kind::kMeal).day == proto::Meal::kDayFieldNumber);
  CHECK(fields_of(Kind::kMeal).detail == proto::Meal::kSlotMinFieldNumber);
  CHECK(fields_of(Kind::kPortion).detail == proto::Portion::kFoodFieldNumber);
  CHECK(fields_of(Kind::kMeasure).detail == proto::Measure::kQuantityFieldNumber);
  CHECK(fields_of(Kind::kAdministration).day == proto::Administration::kDueDayFieldNumber);
  CHECK(fields_of(Kind::kAdministration).detail == proto::Administration::kDueSlotMinFieldNumber);
}

TEST_CASE("a key field of another type than ours counts as absent", "[model]") {
  const KindRow& meal = *find_kind(8);
  // Animal as a number, day as text, slot a good 9:00.
  const RecordKey key = record_key(meal, ByteView("\x08\x07\x12\x01x\x18\x9c\x04", 8));
  CHECK_FALSE(key.subject);
  CHECK(key.day == 0);
  CHECK(key.detail == 540);
}

TEST_CASE("bytes that are no record of the kind make exactly one problem, and no key", "[model]") {
  for (const KindRow& row : all_kinds()) {
    CAPTURE(row.name);
    for (const char* broken : {"\x0a\x05"
                               "ab",
                               "\x0a", "\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff", "\x0b"}) {
      const Problems problems = problems_of(row, broken);
      REQUIRE(problems.size() == 1);
      CHECK(problems[0].code == ProblemCode::kUnreadable);
      if (row.key.subject != 0) CHECK_FALSE(record_key(row, broken).subject);
    }
  }
}

TEST_CASE("any bytes whatever can be judged, keyed and searched for the built-in fields", "[model]") {
  google::protobuf::LogSilencer quiet;  // It would complain of each text that is no UTF-8.
  Random random = test_random("any bytes");
  std::size_t unreadable = 0;
  for (int i = 0; i < 2000; ++i) {
    Bytes fields = random.bytes(static_cast<std::size_t>(random.below(40)));
    // Tags that are ours make it likelier to come further than the first byte.
    if (!fields.empty()) fields[0] = "\x0a\x10\x18\x22\x2a"[random.below(5)];
    for (const KindRow& row : all_kinds()) {
      if (!problems_of(row, fields).empty()) ++unreadable;
      record_key(row, fields);
    }
    built_in_of(fields);
  }
  CHECK(unreadable > 0);
}

TEST_CASE("a record with no built-in field is in account", "[model]") {
  const BuiltIn none = built_in_of("");
  CHECK(none.in_account());
  CHECK_FALSE(none.struck);
  CHECK_FALSE(none.folded_into);
  CHECK(none.accepted_rules.empty());
}

TEST_CASE("strike, fold and acceptance are read from a record of any kind", "[model]") {
  proto::Observation seen;
  seen.set_text("swims level");
  seen.set_standing(proto::STANDING_STRUCK);
  CHECK(built_in_of(seen.SerializeAsString()).struck);
  CHECK_FALSE(built_in_of(seen.SerializeAsString()).in_account());

  seen.set_standing(proto::STANDING_IN_ACCOUNT);  // A strike that was lifted.
  CHECK(built_in_of(seen.SerializeAsString()).in_account());

  set_ref(seen.mutable_same_as(), kOtherId);
  CHECK(built_in_of(seen.SerializeAsString()).folded_into == kOtherId);
  CHECK_FALSE(built_in_of(seen.SerializeAsString()).in_account());

  seen.clear_same_as();
  seen.mutable_accepted()->add_rules(2);
  seen.mutable_accepted()->add_rules(1);
  const BuiltIn accepted = built_in_of(seen.SerializeAsString());
  CHECK(accepted.in_account());
  CHECK(accepted.accepted_rules == std::vector<std::uint32_t>{2, 1});
}

TEST_CASE("built-in fields are read from a kind whose other fields have other types than ours", "[model]") {
  proto::Pool built_in;
  built_in.set_standing(proto::STANDING_STRUCK);
  set_ref(built_in.mutable_same_as(), kOtherId);
  // Field 1 as text that is no UTF-8 and no message, field 2 as fixed32, field 3 as fixed64.
  const Bytes newer = Bytes("\x0a\x03\xff\xfe\x0b", 5) + Bytes("\x15\x01\x02\x03\x04", 5) +
                      Bytes("\x19\x01\x02\x03\x04\x05\x06\x07\x08", 9) + built_in.SerializeAsString();
  CHECK(built_in_of(newer).struck);
  CHECK(built_in_of(newer).folded_into == kOtherId);
}

TEST_CASE("a built-in field cut short is passed over", "[model]") {
  proto::Pool built_in;
  built_in.set_standing(proto::STANDING_STRUCK);
  set_ref(built_in.mutable_same_as(), kOtherId);
  const Bytes whole = built_in.SerializeAsString();
  const BuiltIn cut = built_in_of(ByteView(whole).substr(0, whole.size() - 1));
  CHECK(cut.struck);
  CHECK_FALSE(cut.folded_into);
}

TEST_CASE("review rules have names, and numbers that never move", "[model]") {
  CHECK(static_cast<std::uint32_t>(ReviewRule::kDisagreement) == 1);
  CHECK(static_cast<std::uint32_t>(ReviewRule::kDoubleEntry) == 2);
  CHECK(rule_name(ReviewRule::kDisagreement) == "disagreement");
  CHECK(rule_name(ReviewRule::kDoubleEntry) == "double_entry");
  CHECK(rule_name(static_cast<ReviewRule>(99)) == "unknown");
}

TEST_CASE("an acceptance settles the pairs it names and another entry of the event is flagged again", "[model]") {
  const RecordId a{LogId{1}, 1}, b{LogId{2}, 1}, c{LogId{3}, 1};
  std::vector<GroupMember> group = {{a, {}}, {b, {}}};
  using Flags = std::vector<bool>;
  CHECK(double_entries(group) == Flags{true, true});
  group[0].built_in.accepted_rules = {2};
  group[0].built_in.accepted_beside = {b};
  CHECK(double_entries(group) == Flags{false, false});
  group.push_back({c, {}});
  CHECK(double_entries(group) == Flags{true, true, true});
  // Named beside nobody: an event of its own beside whatever there is.
  group[0].built_in.accepted_beside = {};
  CHECK(double_entries(group) == Flags{false, true, true});
  group[1].built_in.struck = true;
  CHECK(double_entries(group) == Flags{false, false, false});
}

TEST_CASE("portions of one food for different planned foods are apart on one device, and not on two", "[model]") {
  const RecordId herring{LogId{9}, 1};
  const RecordId planned{LogId{1}, 1}, in_place{LogId{1}, 2}, elsewhere{LogId{2}, 1};
  using Flags = std::vector<bool>;
  CHECK(double_entries({{planned, {}}, {in_place, {}, herring}}) == Flags{false, false});
  CHECK(double_entries({{planned, {}, herring}, {in_place, {}, herring}}) == Flags{true, true});
  CHECK(double_entries({{planned, {}}, {elsewhere, {}, herring}}) == Flags{true, true});
  CHECK(double_entries({{planned, {}}, {in_place, {}, herring}, {elsewhere, {}}}) == Flags{true, true, true});

  proto::Portion portion;
  set_ref(portion.mutable_substitutes(), herring);
  const KindRow& row = *find_kind(static_cast<std::uint32_t>(Kind::kPortion));
  CHECK(reference_in(portion.SerializeAsString(), row.apart_field) == herring);
  CHECK_FALSE(reference_in({}, row.apart_field));
}

TEST_CASE("a fold that ends in a record out of account is astray and one that ends in account is not", "[model]") {
  const RecordId a{LogId{1}, 1}, b{LogId{2}, 1}, c{LogId{3}, 1};
  std::vector<GroupMember> group = {{a, {}}, {b, {}}, {c, {}}};
  using Flags = std::vector<bool>;
  group[1].built_in.folded_into = a;
  group[2].built_in.folded_into = b;
  CHECK(folds_astray(group) == Flags{false, false, false});
  group[0].built_in.struck = true;
  CHECK(folds_astray(group) == Flags{false, true, true});
  group[0].built_in = {};
  group[0].built_in.folded_into = c;  // In a circle.
  CHECK(folds_astray(group) == Flags{true, true, true});
  // Into itself, as bytes from outside may claim; and into one that is not of the group, which is not judged.
  group[0].built_in.folded_into = a;
  group[1].built_in.folded_into = {LogId{9}, 9};
  group[2].built_in = {};
  CHECK(folds_astray(group) == Flags{true, false, false});
}

namespace {

// The rules for groups, member by member.
std::vector<bool> double_entries_plainly(const std::vector<GroupMember>& group) {
  const auto accepts = [](const GroupMember& a, const GroupMember& b) {
    const auto& beside = a.built_in.accepted_beside;
    return a.built_in.has_accepted(ReviewRule::kDoubleEntry) &&
           (beside.empty() || std::find(beside.begin(), beside.end(), b.id) != beside.end());
  };
  std::vector<bool> out(group.size(), false);
  for (std::size_t i = 0; i < group.size(); ++i) {
    for (std::size_t k = 0; k < group.size(); ++k) {
      const GroupMember &a = group[i], &b = group[k];
      if (i == k || !a.built_in.in_account() || !b.built_in.in_account()) continue;
      if ((a.apart != b.apart && a.id.log == b.id.log) || accepts(a, b) || accepts(b, a)) continue;
      out[i] = true;
    }
  }
  return out;
}

std::vector<bool> folds_astray_plainly(const std::vector<GroupMember>& group) {
  std::vector<bool> out(group.size(), false);
  for (std::size_t i = 0; i < group.size(); ++i) {
    if (group[i].built_in.struck) continue;
    const GroupMember* at = &group[i];
    for (std::size_t steps = 0; at != nullptr && !at->built_in.struck && at->built_in.folded_into && steps <= group.size(); ++steps) {
      const auto into = std::find_if(group.begin(), group.end(), [&](const GroupMember& m) { return m.id == at->built_in.folded_into; });
      at = into == group.end() ? nullptr : &*into;
    }
    out[i] = at != nullptr && !at->built_in.in_account();
  }
  return out;
}

}  // namespace

TEST_CASE("a group with one key is judged as if each member were compared with each", "[model][laws]") {
  Random random = test_random("groups with one key");
  std::size_t doubles = 0, astray = 0;
  for (int round = 0; round < 4'000; ++round) {
    std::vector<GroupMember> group;
    for (Seq n = 1 + static_cast<Seq>(random.below(7)); n > 0; --n) {
      const auto some = [&] { return RecordId{LogId{1 + random.below(2)}, 1 + static_cast<Seq>(random.below(8))}; };
      GroupMember member;
      member.id = {LogId{1 + n % 2}, n};
      member.built_in.struck = random.once_in(4);
      if (random.once_in(3)) member.built_in.folded_into = some();
      if (random.once_in(3)) member.built_in.accepted_rules = {static_cast<std::uint32_t>(ReviewRule::kDoubleEntry)};
      for (std::size_t beside = random.below(4); beside > 0; --beside) member.built_in.accepted_beside.push_back(some());
      if (random.once_in(3)) member.apart = some();
      group.push_back(member);
    }
    const auto expected = double_entries_plainly(group);
    REQUIRE(double_entries(group) == expected);
    REQUIRE(folds_astray(group) == folds_astray_plainly(group));
    doubles += static_cast<std::size_t>(std::count(expected.begin(), expected.end(), true));
    const auto found = folds_astray(group);
    astray += static_cast<std::size_t>(std::count(found.begin(), found.end(), true));
  }
  CHECK(doubles > 1000);
  CHECK(astray > 300);
}
