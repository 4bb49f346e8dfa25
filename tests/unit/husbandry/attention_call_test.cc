// Goal: what somebody should know of today is on the list, is off it when it is over, and nothing else is on
// it. Method: an invented centre that is exchanged with its hub; each rule is brought about and then put
// right.
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kDay = 20'717;  // The day of Facility::kStartMs, 14:13 in the afternoon.
constexpr WallMs kMin = 60'000, kHour = 60 * kMin;
constexpr WallMs kDayBegin = static_cast<WallMs>(kDay) * 24 * kHour;

struct Centre {
  Facility facility;
  Device& desk;
  Shift shift;
  RecordId pool, seal, herring;

  Centre() : desk(facility.add_device("desk")), shift((facility.exchange_all(), desk), facility.keeper()) {
    set_clock(kDayBegin - 40 * 24 * kHour);
    proto::Pool pool_message;
    pool_message.set_name("Seal pool 1");
    proto::Area yard;
    yard.set_name("yard");
    *pool_message.mutable_in_area() = ref_of(shift.log(Kind::kArea, yard));
    pool = shift.log(Kind::kPool, pool_message);
    proto::Animal animal;
    animal.set_name("Sila");
    *animal.mutable_pool() = ref_of(pool);
    seal = shift.log(Kind::kAnimal, animal);
    herring = shift.food("herring");
    set_clock(kDayBegin + 14 * kHour);
  }

  void set_clock(WallMs at_ms) {
    *desk.clock = at_ms;
    *facility.hub().clock = at_ms;
  }
  template <typename Event>
  void at(Event& event, WallMs at_ms) {
    event.set_day(static_cast<Day>(at_ms / (24 * kHour)));
    event.set_happened_ms(at_ms);
    event.set_utc_offset_min(0);
  }

  // A meal with one portion; nothing weighed back when `left_mg` is absent.
  RecordId meal(WallMs at_ms, std::optional<std::uint64_t> left_mg, std::uint64_t offered_mg = 500'000) {
    proto::Meal meal;
    *meal.mutable_animal() = ref_of(seal);
    at(meal, at_ms);
    proto::Portion portion;
    const RecordId id = shift.log(Kind::kMeal, meal);
    *portion.mutable_meal() = ref_of(id);
    *portion.mutable_food() = ref_of(herring);
    portion.set_offered_mg(offered_mg);
    if (left_mg) portion.set_left_mg(*left_mg);
    shift.log(Kind::kPortion, portion);
    return id;
  }

  RecordId plan(Day first_day, std::uint32_t weekdays = 0, bool approved = true) {
    proto::DietPlan plan;
    *plan.mutable_animal() = ref_of(seal);
    plan.set_first_day(first_day);
    proto::DietLine& line = *plan.add_lines();
    *line.mutable_food() = ref_of(herring);
    line.set_slot_min(8 * 60);
    line.set_weekdays(weekdays);
    line.set_mass_mg(500'000);
    if (approved) *plan.mutable_approved_by() = ref_of(facility.keeper());
    return shift.log(Kind::kDietPlan, plan);
  }

  RecordId order(std::initializer_list<std::uint32_t> slots, Day first_day = kDay) {
    proto::TreatmentOrder order;
    *order.mutable_animal() = ref_of(seal);
    order.set_preparation("Tablet 250 mg");
    order.set_dose_ug(250'000);
    for (std::uint32_t slot : slots) order.add_slots_min(slot);
    order.set_first_day(first_day);
    order.set_interval_min(10 * 60);
    order.set_daily_max(std::max<std::uint32_t>(2, static_cast<std::uint32_t>(slots.size())));
    *order.mutable_ordered_by() = ref_of(facility.keeper());
    return shift.log(Kind::kTreatmentOrder, order);
  }

  RecordId dose(RecordId order, std::uint32_t slot, WallMs at_ms,
                proto::Outcome outcome = proto::OUTCOME_GIVEN) {
    proto::Administration dose;
    *dose.mutable_order() = ref_of(order);
    dose.set_due_day(static_cast<Day>(at_ms / (24 * kHour)));
    dose.set_due_slot_min(slot);
    dose.set_happened_ms(at_ms);
    dose.set_utc_offset_min(0);
    dose.set_outcome(outcome);
    if (outcome == proto::OUTCOME_GIVEN) dose.set_given_ug(250'000);
    return shift.log(Kind::kAdministration, dose);
  }

  proto::Call asked(Day day = kDay) const {
    proto::Call call;
    call.mutable_attention()->set_day(day);
    call.mutable_attention()->add_zone()->set_from_ms(static_cast<std::int64_t>(kDayBegin) - 72 * 3'600'000);
    return call;
  }
  // The items of this rule; the desk has exchanged with the hub just before.
  std::vector<proto::AttentionItem> told(proto::AttentionRule rule, Day day = kDay) {
    must(facility.exchange(desk));
    std::vector<proto::AttentionItem> out;
    const proto::Reply reply = shift.must_call(asked(day));
    for (const proto::AttentionItem& item : reply.attention().items()) {
      if (item.rule() == rule) out.push_back(item);
    }
    return out;
  }
};

RecordId id(const proto::RecordRef& ref) { return {LogId{ref.log()}, ref.seq()}; }

}  // namespace

// 9 CFR 3.105: inappetence of over 24 hours.
TEST_CASE("an animal that ate nothing for over 24 hours is on the list, urgent, with since when", "[call]") {
  Centre centre;
  centre.meal(kDayBegin - 16 * kHour, 0);
  const RecordId refused = centre.meal(kDayBegin - 8 * kHour, 500'000);
  centre.set_clock(kDayBegin + 8 * kHour);
  CHECK(centre.told(proto::ATTENTION_RULE_NOT_EATING).empty());
  centre.set_clock(kDayBegin + 8 * kHour + kMin);
  const auto told = centre.told(proto::ATTENTION_RULE_NOT_EATING);
  REQUIRE(told.size() == 1);
  CHECK(told[0].urgent());
  CHECK(told[0].subject_name() == "Sila");
  CHECK(id(told[0].record()) == refused);
  CHECK(told[0].since_ms() == kDayBegin - 16 * kHour);
  centre.meal(kDayBegin + 8 * kHour, 499'000);
  CHECK(centre.told(proto::ATTENTION_RULE_NOT_EATING).empty());
}

TEST_CASE("a meal that nobody recorded for over 24 hours is told of as far as this replica knows", "[call]") {
  Centre centre;
  centre.set_clock(kDayBegin - 30 * 24 * kHour);
  centre.plan(kDay - 30);  // Every day at 08:00.
  centre.set_clock(kDayBegin + 8 * kHour);
  centre.meal(kDayBegin - 16 * kHour, {});
  CHECK(centre.told(proto::ATTENTION_RULE_NOT_FED).empty());
  centre.set_clock(kDayBegin + 8 * kHour + kMin);
  // The desk has not asked the hub since, where another's meal may be.
  CHECK(centre.shift.must_call(centre.asked()).attention().items_size() == 0);
  const auto told = centre.told(proto::ATTENTION_RULE_NOT_FED);
  REQUIRE(told.size() == 1);
  CHECK(told[0].urgent());
  CHECK(told[0].since_ms() == kDayBegin - 16 * kHour);
  centre.meal(kDayBegin + 8 * kHour, {});
  CHECK(centre.told(proto::ATTENTION_RULE_NOT_FED).empty());
}

TEST_CASE("an animal is not called unfed on a day its plan feeds nothing, or before it had a plan", "[call]") {
  Centre centre;
  centre.set_clock(kDayBegin - 30 * 24 * kHour);
  centre.meal(kDayBegin - 30 * 24 * kHour, {});
  const std::uint32_t today = 1u << ((kDay + 3) % 7);  // Day 0 was a Thursday; bit 0 is Monday.
  const RecordId sparse = centre.plan(kDay - 30, today);
  centre.meal(kDayBegin - 7 * 24 * kHour + 8 * kHour, {});
  centre.set_clock(kDayBegin + 8 * kHour - kMin);
  CHECK(centre.told(proto::ATTENTION_RULE_NOT_FED).empty());
  centre.set_clock(kDayBegin + 8 * kHour);
  CHECK(centre.told(proto::ATTENTION_RULE_NOT_FED).size() == 1);
  centre.shift.strike(sparse, "another animal's");
  centre.set_clock(kDayBegin + 8 * kHour + kMin);
  centre.plan(kDay -
              30);  // Every day, but written down after this morning's meal: nobody could give those before.
  CHECK(centre.told(proto::ATTENTION_RULE_NOT_FED).empty());
}

TEST_CASE("doses too soon, too many or uncertain are urgent, and the earlier ones are not", "[call]") {
  Centre centre;
  const RecordId order = centre.order({8 * 60, 20 * 60});
  centre.dose(order, 8 * 60, kDayBegin + 1 * kHour);
  CHECK(centre.told(proto::ATTENTION_RULE_DOSE_OUTSIDE_ORDER).empty());
  centre.dose(order, 9 * 60, kDayBegin + 2 * kHour, proto::OUTCOME_REFUSED);  // Is in nobody.
  CHECK(centre.told(proto::ATTENTION_RULE_DOSE_OUTSIDE_ORDER).empty());
  const RecordId soon = centre.dose(order, 10 * 60, kDayBegin + 11 * kHour - kMin);
  auto told = centre.told(proto::ATTENTION_RULE_DOSE_OUTSIDE_ORDER);
  REQUIRE(told.size() == 1);
  CHECK(id(told[0].record()) == soon);
  CHECK(told[0].what() == "Tablet 250 mg");
  CHECK(told[0].urgent());
  centre.shift.strike(soon, "another animal's");
  centre.dose(order, 11 * 60, kDayBegin + 11 * kHour);  // Ten hours apart.
  CHECK(centre.told(proto::ATTENTION_RULE_DOSE_OUTSIDE_ORDER).empty());
  centre.dose(order, 20 * 60, kDayBegin + 21 * kHour);  // Ten hours apart, but the third of the day.
  CHECK(centre.told(proto::ATTENTION_RULE_DOSE_OUTSIDE_ORDER).size() == 1);
  CHECK(centre.told(proto::ATTENTION_RULE_DOSE_UNKNOWN).empty());
  centre.dose(order, 21 * 60, kDayBegin + 22 * kHour, proto::OUTCOME_UNKNOWN);
  centre.dose(order, 22 * 60, kDayBegin + 23 * kHour, proto::OUTCOME_PART);
  CHECK(centre.told(proto::ATTENTION_RULE_DOSE_UNKNOWN).size() == 2);
  CHECK(centre.told(proto::ATTENTION_RULE_DOSE_UNKNOWN, kDay + 7)
            .empty());  // A week later it is read elsewhere.
}

TEST_CASE("a dose is missed once the next is due, but never one due before its order was written", "[call]") {
  Centre centre;
  centre.set_clock(kDayBegin - 20 * kHour);
  const RecordId order =
      centre.order({3 * 60, 8 * 60, 20 * 60}, kDay - 1);  // Written at 04:00: 03:00 was over.
  centre.dose(order, 8 * 60, kDayBegin - 16 * kHour);
  centre.dose(order, 20 * 60, kDayBegin - 4 * kHour, proto::OUTCOME_REFUSED);
  centre.set_clock(kDayBegin + 8 * kHour - kMin);
  CHECK(centre.told(proto::ATTENTION_RULE_DOSE_MISSED).empty());
  centre.set_clock(kDayBegin + 8 * kHour);
  auto told = centre.told(proto::ATTENTION_RULE_DOSE_MISSED);
  REQUIRE(told.size() == 1);  // 03:00 of today.
  CHECK(told[0].since_ms() == kDayBegin + 3 * kHour);
  CHECK_FALSE(told[0].urgent());
  centre.set_clock(kDayBegin + 24 * kHour);
  CHECK(centre.told(proto::ATTENTION_RULE_DOSE_MISSED).size() == 3);
}

TEST_CASE("water outside a limit is told of since when, and no more once it is inside again", "[call]") {
  Centre centre;
  proto::WaterLimit limit;
  limit.set_parameter(proto::PARAMETER_OXYGEN_SATURATION);
  limit.set_low(800'000);
  limit.set_every_hours(24);
  limit.set_source("the centre's own plan");
  centre.shift.log(Kind::kWaterLimit, limit);
  CHECK(centre.told(proto::ATTENTION_RULE_WATER_OVERDUE).size() == 1);
  const auto read = [&](std::int64_t value, WallMs at_ms) {
    proto::WaterReading reading;
    *reading.mutable_pool() = ref_of(centre.pool);
    centre.at(reading, at_ms);
    reading.set_parameter(proto::PARAMETER_OXYGEN_SATURATION);
    reading.set_value(value);
    return centre.shift.log(Kind::kWaterReading, reading);
  };
  read(790'000, kDayBegin + 1 * kHour);
  read(900'000, kDayBegin + 2 * kHour);
  CHECK(centre.told(proto::ATTENTION_RULE_WATER_OUTSIDE).empty());
  CHECK(centre.told(proto::ATTENTION_RULE_WATER_OVERDUE).empty());
  read(799'999, kDayBegin + 3 * kHour);
  const RecordId last = read(700'000, kDayBegin + 4 * kHour);
  const auto told = centre.told(proto::ATTENTION_RULE_WATER_OUTSIDE);
  REQUIRE(told.size() == 1);
  CHECK(told[0].urgent());
  CHECK(id(told[0].record()) == last);
  CHECK(told[0].since_ms() == kDayBegin + 3 * kHour);
  CHECK(told[0].what() == "oxygen saturation");
  limit.set_low(750'000);
  limit.set_unverified(true);
  *limit.mutable_pool() = ref_of(centre.pool);  // Stands before the other.
  centre.shift.log(Kind::kWaterLimit, limit);
  CHECK(centre.told(proto::ATTENTION_RULE_WATER_OUTSIDE)[0].what() == "oxygen saturation (unverified limit)");
}

TEST_CASE("plans that nobody approved are told of while they hold or are to come", "[call]") {
  Centre centre;
  centre.plan(kDay - 20, 0, false);  // Another is in force since.
  const RecordId now = centre.plan(kDay - 10, 0, false), next = centre.plan(kDay + 3, 0, false);
  auto told = centre.told(proto::ATTENTION_RULE_PLAN_NOT_APPROVED);
  REQUIRE(told.size() == 2);
  CHECK(id(told[0].record()) == now);
  CHECK(id(told[1].record()) == next);
  proto::DietPlan approval;
  *approval.mutable_approved_by() = ref_of(centre.facility.keeper());
  must(centre.shift.try_edit(now, approval, "read"));
  CHECK(centre.told(proto::ATTENTION_RULE_PLAN_NOT_APPROVED).size() == 1);
}

TEST_CASE("a weighing is overdue by its watch plan, and without a plan by nothing", "[call]") {
  Centre centre;
  CHECK(centre.told(proto::ATTENTION_RULE_MASS_OVERDUE).empty());
  proto::WatchPlan watch;
  *watch.mutable_subject() = ref_of(centre.seal);
  watch.set_first_day(kDay - 30);
  watch.set_quantity(proto::QUANTITY_MASS);
  watch.set_every_days(7);
  centre.shift.log(Kind::kWatchPlan, watch);
  proto::Measure measure;
  *measure.mutable_animal() = ref_of(centre.seal);
  measure.set_quantity(proto::QUANTITY_MASS);
  measure.set_value(84'000'000);
  measure.set_day(kDay - 8);
  centre.shift.log(Kind::kMeasure, measure);
  const auto told = centre.told(proto::ATTENTION_RULE_MASS_OVERDUE);
  REQUIRE(told.size() == 1);
  CHECK(told[0].day() == kDay - 1);
  measure.set_day(kDay - 7);
  centre.shift.log(Kind::kMeasure, measure);
  CHECK(centre.told(proto::ATTENTION_RULE_MASS_OVERDUE).empty());
}

// 9 CFR 3.105: fed within 24 hours of leaving the freezer, or of being thawed under refrigeration.
TEST_CASE("thawed food past its time and lots past use-by are told of until they are gone", "[call]") {
  Centre centre;
  proto::Lot lot;
  *lot.mutable_food() = ref_of(centre.herring);
  lot.set_code("H-17");
  lot.set_use_by_day(kDay);
  const RecordId lot_id = centre.shift.log(Kind::kLot, lot);
  proto::StockMovement movement;
  *movement.mutable_lot() = ref_of(lot_id);
  movement.set_day(kDay - 5);
  movement.set_cause(proto::MOVEMENT_CAUSE_RECEIVED);
  movement.set_change_mg(10'000'000);
  centre.shift.log(Kind::kStockMovement, movement);
  CHECK(centre.told(proto::ATTENTION_RULE_LOT_PAST).empty());
  CHECK(centre.told(proto::ATTENTION_RULE_LOT_PAST, kDay + 1).size() == 1);
  movement.set_cause(proto::MOVEMENT_CAUSE_DISCARDED);
  movement.set_change_mg(-10'000'000);
  centre.shift.log(Kind::kStockMovement, movement);
  CHECK(centre.told(proto::ATTENTION_RULE_LOT_PAST, kDay + 1).empty());

  proto::ThawBatch batch;
  *batch.mutable_lot() = ref_of(lot_id);
  centre.at(batch, kDayBegin - 12 * kHour);
  batch.set_method(proto::THAW_METHOD_COLD_WATER);
  const RecordId batch_id = centre.shift.log(Kind::kThawBatch, batch);
  centre.set_clock(kDayBegin + 12 * kHour);
  CHECK(centre.told(proto::ATTENTION_RULE_THAW_PAST).empty());
  centre.set_clock(kDayBegin + 12 * kHour + kMin);
  const auto told = centre.told(proto::ATTENTION_RULE_THAW_PAST);
  REQUIRE(told.size() == 1);
  CHECK(told[0].subject_name() == "herring");
  CHECK(told[0].what() == "H-17");
  CHECK(told[0].since_ms() == kDayBegin + 12 * kHour);
  proto::ThawBatch discarded;
  discarded.set_discarded_ms(kDayBegin + 12 * kHour);
  must(centre.shift.try_edit(batch_id, discarded, "over"));
  CHECK(centre.told(proto::ATTENTION_RULE_THAW_PAST).empty());
}

TEST_CASE("a thawed batch that was fed, used, thrown away or counted out whole is no forgotten one", "[call]") {
  Centre centre;
  proto::Lot lot;
  *lot.mutable_food() = ref_of(centre.herring);
  lot.set_code("H-18");
  const RecordId lot_id = centre.shift.log(Kind::kLot, lot);
  const auto thaw = [&](std::uint64_t mass_mg) {
    proto::ThawBatch batch;
    *batch.mutable_lot() = ref_of(lot_id);
    centre.at(batch, kDayBegin - 12 * kHour);
    batch.set_mass_mg(mass_mg);
    batch.set_method(proto::THAW_METHOD_COLD_WATER);
    return centre.shift.log(Kind::kThawBatch, batch);
  };
  const auto move = [&](RecordId batch, proto::MovementCause cause, std::int64_t change_mg, std::optional<std::uint64_t> counted_mg = {}) {
    proto::StockMovement movement;
    *movement.mutable_lot() = ref_of(lot_id);
    if (batch) *movement.mutable_thaw_batch() = ref_of(batch);
    centre.at(movement, kDayBegin);
    movement.set_cause(cause);
    movement.set_change_mg(change_mg);
    if (counted_mg) movement.set_counted_mg(*counted_mg);
    return centre.shift.log(Kind::kStockMovement, movement);
  };
  const auto told = [&] { return centre.told(proto::ATTENTION_RULE_THAW_PAST).size(); };
  centre.set_clock(kDayBegin + 13 * kHour);
  const RecordId fed = thaw(2'000'000);
  CHECK(told() == 1);
  proto::Portion portion;
  *portion.mutable_meal() = ref_of(centre.meal(kDayBegin, {}));
  *portion.mutable_food() = ref_of(centre.herring);
  *portion.mutable_thaw_batch() = ref_of(fed);
  portion.set_gross_mg(1'800'000);
  portion.set_tare_mg(300'000);
  centre.shift.log(Kind::kPortion, portion);
  // The desk books the same food as used: it is not gone twice.
  move(fed, proto::MOVEMENT_CAUSE_USED, -1'500'000);
  CHECK(told() == 1);
  // This is taken from the lot, but not from this batch.
  move({}, proto::MOVEMENT_CAUSE_DISCARDED, -500'000);
  CHECK(told() == 1);
  const RecordId rest = move(fed, proto::MOVEMENT_CAUSE_DISCARDED, -500'000);
  CHECK(told() == 0);
  centre.shift.strike(rest, "another batch");
  CHECK(told() == 1);
  move(fed, proto::MOVEMENT_CAUSE_DISCARDED, -500'000);

  const RecordId counted = thaw(3'000'000);
  CHECK(told() == 1);
  move(counted, proto::MOVEMENT_CAUSE_COUNTED, -1'000'000, 5'000);
  CHECK(told() == 1);
  move(counted, proto::MOVEMENT_CAUSE_COUNTED, -5'000, 0);
  CHECK(told() == 0);
}

TEST_CASE("failed checks and unsafe enrichers are told of until a later look is good", "[call]") {
  Centre centre;
  const auto check = [&](bool passed, WallMs at_ms) {
    proto::HygieneCheck hygiene;
    hygiene.set_area("kitchen");
    hygiene.set_task("sanitise the tables");
    hygiene.set_passed(passed);
    centre.at(hygiene, at_ms);
    centre.shift.log(Kind::kHygieneCheck, hygiene);
  };
  check(true, kDayBegin + 1 * kHour);
  check(false, kDayBegin + 2 * kHour);
  const auto told = centre.told(proto::ATTENTION_RULE_HYGIENE_FAILED);
  REQUIRE(told.size() == 1);
  CHECK(told[0].subject_name() == "kitchen");
  check(true, kDayBegin + 3 * kHour);
  CHECK(centre.told(proto::ATTENTION_RULE_HYGIENE_FAILED).empty());

  proto::Enricher ball;
  ball.set_name("floating ball");
  ball.set_goal("forage");
  const RecordId ball_id = centre.shift.log(Kind::kEnricher, ball);
  const auto look = [&](bool safe, WallMs at_ms) {
    proto::Inspection inspection;
    *inspection.mutable_enricher() = ref_of(ball_id);
    inspection.set_safe(safe);
    inspection.set_findings(safe ? "" : "a crack at the rim");
    centre.at(inspection, at_ms);
    centre.shift.log(Kind::kInspection, inspection);
  };
  CHECK(centre.told(proto::ATTENTION_RULE_ENRICHER_UNSAFE).empty());
  look(false, kDayBegin + 1 * kHour);
  REQUIRE(centre.told(proto::ATTENTION_RULE_ENRICHER_UNSAFE).size() == 1);
  CHECK(centre.told(proto::ATTENTION_RULE_ENRICHER_UNSAFE)[0].what() == "a crack at the rim");
  look(true, kDayBegin + 2 * kHour);
  CHECK(centre.told(proto::ATTENTION_RULE_ENRICHER_UNSAFE).empty());
}

TEST_CASE("more left than offered, and events of a struck animal, are told until corrected", "[call]") {
  Centre centre;
  const RecordId meal = centre.meal(kDayBegin + 8 * kHour, 500'001);
  CHECK(centre.told(proto::ATTENTION_RULE_LEFT_ABOVE_OFFERED).size() == 1);
  centre.shift.strike(centre.seal, "the other group");
  CHECK(centre.told(proto::ATTENTION_RULE_LEFT_ABOVE_OFFERED).empty());
  const auto told = centre.told(proto::ATTENTION_RULE_OF_STRUCK_ANIMAL);
  REQUIRE(told.size() == 1);
  CHECK(id(told[0].subject()) == centre.seal);
  CHECK(id(told[0].record()) == meal);
  CHECK(told[0].what() == "1 entry");
  centre.shift.strike(meal, "the other group's");
  CHECK(centre.told(proto::ATTENTION_RULE_OF_STRUCK_ANIMAL).empty());
}

TEST_CASE("what was entered or changed after its day was closed is told of until it is closed again",
          "[call]") {
  Centre centre;
  const RecordId early = centre.meal(kDayBegin + 8 * kHour, 0);
  const auto close = [&](const std::string& area) {
    proto::DayClose done;
    done.set_area(area);
    done.set_day(kDay);
    centre.shift.log(Kind::kDayClose, done);
  };
  close("yard");
  close("quarantine");
  CHECK(centre.told(proto::ATTENTION_RULE_AMENDED_AFTER_CLOSE).empty());
  centre.set_clock(kDayBegin + 15 * kHour);
  proto::Meal note;
  note.set_note("ate slowly");
  must(centre.shift.try_edit(early, note, "forgotten"));
  const auto told = centre.told(proto::ATTENTION_RULE_AMENDED_AFTER_CLOSE);
  REQUIRE(told.size() == 1);
  CHECK(id(told[0].record()) == early);
  CHECK(told[0].what() == "yard");
  centre.set_clock(kDayBegin + 16 * kHour);
  centre.meal(kDayBegin + 9 * kHour, 0);  // Late: a meal and its portion.
  CHECK(centre.told(proto::ATTENTION_RULE_AMENDED_AFTER_CLOSE).size() == 3);
  centre.meal(kDayBegin - 15 * kHour, 0);  // The meal is of a day that nobody closed.
  CHECK(centre.told(proto::ATTENTION_RULE_AMENDED_AFTER_CLOSE).size() == 3);
  centre.set_clock(kDayBegin + 17 * kHour);
  close("yard");
  CHECK(centre.told(proto::ATTENTION_RULE_AMENDED_AFTER_CLOSE).empty());
}

TEST_CASE("the list is urgent first and the same bytes at the hub, and without offsets it is refused",
          "[call]") {
  Centre centre;
  centre.plan(kDay - 1, 0, false);
  centre.meal(kDayBegin - 20 * kHour, 500'000);
  centre.meal(kDayBegin - 10 * kHour, 600'000);
  centre.facility.exchange_all();
  proto::Reply reply;
  const Bytes here = dispatch(*centre.desk.replica, centre.asked().SerializeAsString());
  REQUIRE(reply.ParseFromString(here));
  REQUIRE(reply.attention().items_size() == 3);
  CHECK(reply.attention().items(0).rule() == proto::ATTENTION_RULE_NOT_EATING);
  CHECK(reply.attention().items(1).rule() == proto::ATTENTION_RULE_LEFT_ABOVE_OFFERED);
  CHECK(reply.attention().items(2).rule() == proto::ATTENTION_RULE_PLAN_NOT_APPROVED);
  CHECK(here ==
        dispatch(*centre.facility.hub().replica, centre.asked().SerializeAsString(), CallScope::kReadOnly));
  proto::Call bare;
  bare.mutable_attention()->set_day(kDay);
  CHECK(centre.shift.call(bare).has_failure());
}
