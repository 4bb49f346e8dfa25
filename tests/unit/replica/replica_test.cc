// Goal: what a keeper logs is durable, validated and found again; what two people write without knowing of
// each other is kept and shown. Method: a whole facility with real databases in a scratch folder.
#include "replica/replica.h"

#include <records.pb.h>

#include "model/kinds.h"
#include "support/facility.h"
#include "support/shift.h"

using namespace wrackline;

TEST_CASE("a logged record is there after the database is opened again", "[replica]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  must(facility.exchange(tablet));
  Shift shift(tablet, facility.keeper());
  const RecordId animal = shift.animal("Nereid");
  const std::string before = state_of(tablet);
  tablet.reopen();
  REQUIRE(state_of(tablet) == before);
  REQUIRE(shift.load(animal).kind == static_cast<std::uint32_t>(Kind::kAnimal));
}

TEST_CASE("stamps go forward when the clock was set back, though a call that wrote nothing came first", "[replica]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  must(facility.exchange(tablet));
  Shift shift(tablet, facility.keeper());
  const auto stamp_of = [&](RecordId record) {
    LogTable& logs = tablet.replica->store().logs();
    return must(read_change(must(logs.bytes_of(logs.find_place(record))))).stamp;
  };
  const Stamp before = stamp_of(shift.animal("Nereid"));
  tablet.reopen();
  *tablet.clock -= kDayMs;
  proto::Call nothing;
  nothing.mutable_log();
  (void)shift.must_call(nothing);
  REQUIRE(before < stamp_of(shift.animal("Pip")));
}

TEST_CASE("a record that breaks a rule of its kind is refused whole and says which rule", "[replica]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  must(facility.exchange(tablet));
  Shift shift(tablet, facility.keeper());
  const std::string before = state_of(tablet);
  NewRecord good{static_cast<std::uint32_t>(Kind::kPool), {}, {}, {}};
  proto::Pool pool;
  pool.set_name("Tide pool");
  good.fields = pool.SerializeAsString();
  NewRecord bad{static_cast<std::uint32_t>(Kind::kPool), {}, {}, {}};
  const auto result = tablet.replica->author().log_records(facility.keeper(), {good, bad});
  REQUIRE(code_of(result) == ErrorCode::kInvalid);
  REQUIRE(result.error().message.find("pool 2") != std::string::npos);
  REQUIRE(result.error().message.find("nothing was logged") != std::string::npos);
  REQUIRE(state_of(tablet) == before);
}

TEST_CASE("replacing a value needs a reason, adding a missing one does not", "[replica]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  must(facility.exchange(tablet));
  Shift shift(tablet, facility.keeper());
  const RecordId animal = shift.animal("Nereid"), food = shift.food("herring");
  const auto [meal, portion] = shift.meal(animal, food, 510, 1'200'000);
  REQUIRE(code_of(shift.try_left(portion, 80'000, "")) == ErrorCode::kOk);
  REQUIRE(code_of(shift.try_left(portion, 90'000, "")) == ErrorCode::kInvalid);
  REQUIRE(code_of(shift.try_left(portion, 90'000, "the scale was not zeroed")) == ErrorCode::kOk);
  REQUIRE(shift.portion(portion).left_mg() == 90'000);
}

TEST_CASE("two tablets that correct one field unaware of each other disagree until it is settled",
          "[replica]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const auto [meal, portion] = on_north.meal(animal, food, 510, 1'200'000);
  facility.exchange_all();
  must(on_north.try_left(portion, 80'000, "weighed wet"));
  must(on_south.try_left(portion, 95'000, "weighed dry"));
  facility.exchange_all();
  REQUIRE(state_of(north) == state_of(south));
  REQUIRE(state_of(north) == state_of(facility.hub()));
  REQUIRE(on_north.review().items_size() == 1);
  REQUIRE(on_north.review().items(0).rule_name() == "disagreement");
  REQUIRE(code_of(on_south.try_left(portion, 90'000, "by accident")) == ErrorCode::kDisagreement);
  must(on_south.try_left(portion, 90'000, "asked both", true));
  facility.exchange_all();
  REQUIRE(on_north.review().items_size() == 0);
  REQUIRE(on_north.portion(portion).left_mg() == 90'000);
}

TEST_CASE("a strike and an edit unaware of each other are both kept, and disagree until settled", "[replica]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const auto [meal, portion] = on_north.meal(animal, food, 510, 1'200'000);
  facility.exchange_all();
  on_north.strike(portion, "wrong animal");
  must(on_south.try_left(portion, 10'000, "weighed"));
  facility.exchange_all();
  REQUIRE(state_of(north) == state_of(south));
  REQUIRE(built_in_of(on_north.load(portion).fields).struck);
  REQUIRE(on_north.portion(portion).left_mg() == 10'000);
  REQUIRE(on_north.review().items_size() == 1);
  REQUIRE(on_south.review().items(0).field() == kStandingField);
  proto::Call settle;
  settle.mutable_strike()->mutable_record()->set_log(portion.log.value);
  settle.mutable_strike()->mutable_record()->set_seq(portion.seq);
  settle.mutable_strike()->set_reason("the portion was given after all");
  settle.mutable_strike()->set_lift(true);
  REQUIRE(on_south.call(settle).failure().code() == static_cast<std::uint32_t>(ErrorCode::kDisagreement));
  settle.mutable_strike()->set_settle(true);
  REQUIRE_FALSE(on_south.call(settle).has_failure());
  facility.exchange_all();
  REQUIRE(on_north.review().items_size() == 0);
  REQUIRE_FALSE(built_in_of(on_north.load(portion).fields).struck);
  // Struck with knowledge of the edit, and edited with knowledge of the strike: no disagreement.
  on_north.strike(portion, "wrong animal, looked at again");
  must(on_north.try_left(portion, 12'000, "for the trail"));
  facility.exchange_all();
  REQUIRE(on_south.review().items_size() == 0);
}

TEST_CASE("one meal and one dose logged on two tablets are shown for review on both, the dose first",
          "[replica]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const RecordId order = on_north.order(animal);
  facility.exchange_all();
  const auto first = on_north.meal(animal, food, 510, 1'200'000);
  const auto second = on_south.meal(animal, food, 510, 1'150'000);
  on_north.dose(order, 480);
  on_south.dose(order, 480);
  REQUIRE(on_north.review().items_size() == 0);
  facility.exchange_all();
  const proto::ReviewReply review = on_north.review();
  REQUIRE(review.SerializeAsString() == on_south.review().SerializeAsString());
  REQUIRE(review.items_size() == 2);
  REQUIRE(review.items(0).level() == proto::REVIEW_LEVEL_URGENT);
  REQUIRE(review.items(0).kind() == static_cast<std::uint32_t>(Kind::kAdministration));
  REQUIRE(review.items(1).records_size() == 2);
  on_south.fold(second.first, first.first, "one feeding, logged by both keepers");
  facility.exchange_all();
  REQUIRE(on_north.review().items_size() == 1);
  on_south.unfold(second.first, "two feedings after all");
  facility.exchange_all();
  REQUIRE(on_north.review().items_size() == 2);
  on_north.accept(second.first, "a second feeding was right");
  facility.exchange_all();
  REQUIRE(on_south.review().items_size() == 1);
}

TEST_CASE("a tablet set to 2099 loses nothing and overrules nothing", "[replica]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const auto [meal, portion] = on_north.meal(animal, food, 510, 1'200'000);
  facility.exchange_all();
  *south.clock = 4'070'908'800'000;  // 2099-01-01
  must(on_south.try_left(portion, 5'000, "weighed"));
  facility.exchange_all();
  *south.clock = Facility::kStartMs + 1000;
  must(on_north.try_left(portion, 6'000, "weighed again after seeing it"));
  facility.exchange_all();
  REQUIRE(state_of(north) == state_of(south));
  REQUIRE(on_south.portion(portion).left_mg() == 6'000);
  REQUIRE(on_north.review().items_size() == 0);
  // The other clocks were not dragged along, and the trail says that this one was suspect.
  const RecordId later = on_north.animal("Thetis");
  REQUIRE(on_north.view(later).entered_ms() == Facility::kStartMs);
  std::size_t suspect = 0;
  const proto::TrailReply trail = on_north.trail(portion);
  for (const auto& entry : trail.entries()) suspect += entry.clock_suspect();
  REQUIRE(suspect == 1);
  // Set right again, the tablet enters at the right time although its stamps go on from 2099.
  const RecordId after = on_south.animal("Doris");
  REQUIRE(on_south.view(after).entered_ms() == Facility::kStartMs + 1000);
}

TEST_CASE("a list longer than a page goes on behind the last record of the page before", "[replica]") {
  Facility facility;
  Device& desk = facility.add_device("desk");
  facility.exchange_all();
  Shift shift(desk, facility.keeper());
  std::set<RecordId> logged;
  for (int i = 0; i < 7; ++i) logged.insert(shift.food("food " + std::to_string(i)));
  shift.strike(*logged.begin(), "sold out");
  proto::Call call;
  call.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kFood));
  call.mutable_list()->set_limit(2);
  std::set<RecordId> listed;
  int pages = 0;
  for (bool more = true; more; ++pages) {
    const proto::ListReply page = shift.must_call(call).list();
    REQUIRE(page.records_size() == 2);
    for (const proto::RecordView& view : page.records())
      CHECK(listed.insert({LogId{view.record().log()}, view.record().seq()}).second);
    more = page.more();
    *call.mutable_list()->mutable_after() = page.records(1).record();
    // A strike between two pages does not end the list.
    if (pages == 0) shift.strike({LogId{page.records(1).record().log()}, page.records(1).record().seq()}, "sold out too");
  }
  CHECK(pages == 3);
  logged.erase(logged.begin());
  CHECK(listed == logged);
  call.mutable_list()->mutable_after()->set_seq(9'999'999);
  CHECK(shift.call(call).failure().code() == static_cast<std::uint32_t>(ErrorCode::kInvalid));
}

TEST_CASE("rebuilding the projections gives the same bytes", "[replica]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const auto first = on_north.meal(animal, food, 510, 1'200'000);
  on_south.meal(animal, food, 510, 1'100'000);
  must(on_north.try_left(first.second, 3'000, "weighed"));
  on_north.strike(first.first, "no such meal");
  facility.exchange_all();
  for (Device* device : {&north, &south, &facility.hub()}) {
    Shift shift(*device, facility.keeper());
    const auto rebuilt = shift.rebuild();
    REQUIRE(rebuilt.same());
    REQUIRE(rebuilt.changes() > 5);
  }
}

TEST_CASE("a question asked after a write was given up leaves nothing of it behind", "[replica]") {
  TwoKeepers keepers;
  Replica& north = *keepers.north.replica;
  const std::string before = state_of(keepers.north);
  proto::Meal meal;
  meal.mutable_animal()->set_log(keepers.animal.log.value);
  meal.mutable_animal()->set_seq(keepers.animal.seq);
  meal.set_day(static_cast<std::int32_t>(Facility::kStartMs / 86'400'000));
  meal.set_slot_min(480);
  meal.set_happened_ms(Facility::kStartMs);
  meal.set_utc_offset_min(0);
  {
    const auto write = must(north.store().begin_write());
    must(north.author().log_records_in(keepers.facility.keeper(), {{static_cast<std::uint32_t>(Kind::kMeal), meal.SerializeAsString(), {}, {}}}));
  }
  // Before anything else has taken note that the write is gone.
  (void)north.store().records().find_all_subjects(Kind::kMeal, -1'000'000, 1'000'000);
  CHECK(state_of(keepers.north) == before);
  CHECK(must(north.store().records().find_all_subjects(Kind::kMeal, -1'000'000, 1'000'000)).empty());
  CHECK(keepers.on_north.rebuild().same());
}
