// Goal: the prep call says what the plans in force ask for on a day, from which lots, and what is reckoned from it.
// Method: a small invented centre of two animals; the clock of the desk is set where time matters.
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kDay = 20'717;  // The day of Facility::kStartMs; a Monday.
constexpr std::uint64_t kKg = 1'000'000, kGram = 1000;
constexpr WallMs kHour = 3'600'000;
constexpr std::uint32_t kMorning = 8 * 60 + 30, kEvening = 17 * 60;

struct Kitchen {
  Facility facility;
  Device& desk;
  Shift shift;
  RecordId seal, ray, herring, squid;

  Kitchen() : desk(facility.add_device("desk")), shift((facility.exchange_all(), desk), facility.keeper()) {
    seal = animal("Sila", "Seal pool", "yard");
    ray = animal("Rocco", "Ray pool", "hall");
    squid = shift.food("squid");
    herring = shift.food("herring");
  }

  RecordId animal(const std::string& name, const std::string& pool_name, const std::string& area) {
    proto::Pool pool;
    pool.set_name(pool_name);
    pool.set_area(area);
    proto::Animal animal;
    animal.set_name(name);
    *animal.mutable_pool() = ref_of(shift.log(Kind::kPool, pool));
    return shift.log(Kind::kAnimal, animal);
  }
  proto::DietPlan plan(RecordId animal) {
    proto::DietPlan plan;
    *plan.mutable_animal() = ref_of(animal);
    plan.set_first_day(kDay - 10);
    return plan;
  }
  static proto::DietLine& line(proto::DietPlan& plan, RecordId food, std::optional<std::uint32_t> slot_min,
                               std::optional<std::uint64_t> mass_mg, std::uint32_t weekdays = 0) {
    proto::DietLine& line = *plan.add_lines();
    *line.mutable_food() = ref_of(food);
    if (slot_min) line.set_slot_min(*slot_min);
    if (mass_mg) line.set_mass_mg(*mass_mg);
    line.set_weekdays(weekdays);
    return line;
  }
  RecordId lot(const std::string& code, std::optional<Day> use_by, std::int64_t mg) {
    proto::Lot lot;
    *lot.mutable_food() = ref_of(herring);
    lot.set_code(code);
    if (use_by) lot.set_use_by_day(*use_by);
    const RecordId id = shift.log(Kind::kLot, lot);
    proto::StockMovement movement;
    *movement.mutable_lot() = ref_of(id);
    movement.set_day(kDay);
    movement.set_cause(proto::MOVEMENT_CAUSE_RECEIVED);
    movement.set_change_mg(mg);
    shift.log(Kind::kStockMovement, movement);
    return id;
  }
  RecordId thaw(RecordId lot, proto::ThawMethod method, WallMs out_ms, std::optional<WallMs> thawed_ms = {}) {
    proto::ThawBatch batch;
    *batch.mutable_lot() = ref_of(lot);
    batch.set_day(static_cast<Day>(out_ms / (24 * kHour)));
    batch.set_happened_ms(out_ms);
    batch.set_utc_offset_min(0);
    batch.set_mass_mg(2 * kKg);
    batch.set_method(method);
    if (thawed_ms) batch.set_thawed_ms(*thawed_ms);
    return shift.log(Kind::kThawBatch, batch);
  }
  proto::TreatmentOrder order() {
    proto::TreatmentOrder order;
    *order.mutable_animal() = ref_of(seal);
    order.set_preparation("thiamine, tablet 100 mg");
    order.set_substance("thiamine");
    order.set_dose_ug_per_kg_food(25'000);
    order.set_route("in fish");
    order.set_first_day(kDay);
    *order.mutable_ordered_by() = ref_of(facility.keeper());
    return order;
  }
  proto::PrepReply prep(Day day = kDay, const std::string& area = {}) {
    proto::Call call;
    call.mutable_prep()->set_day(day);
    call.mutable_prep()->set_area(area);
    return shift.must_call(call).prep();
  }
};

}  // namespace

TEST_CASE("lines come by area, pool, animal and slot, in the order of the plan", "[call][prep]") {
  Kitchen k;
  proto::DietPlan seal = k.plan(k.seal);
  Kitchen::line(seal, k.squid, std::nullopt, 100 * kGram);
  Kitchen::line(seal, k.herring, kEvening, kKg);
  proto::DietLine& cut = Kitchen::line(seal, k.squid, kMorning, 300 * kGram);
  cut.set_tolerance_mg(10 * kGram);
  cut.set_preparation("2 cm rings, no beak");
  cut.set_presentation("scattered");
  Kitchen::line(seal, k.herring, kMorning, 2 * kKg);
  const RecordId plan = k.shift.log(Kind::kDietPlan, seal);
  proto::DietPlan ray = k.plan(k.ray);
  Kitchen::line(ray, k.squid, kEvening, 50 * kGram);
  *ray.mutable_approved_by() = ref_of(k.facility.keeper());
  k.shift.log(Kind::kDietPlan, ray);

  const proto::PrepReply reply = k.prep();
  REQUIRE(reply.lines_size() == 5);
  CHECK(reply.lines(0).animal_name() == "Rocco");
  CHECK(reply.lines(0).area() == "hall");
  CHECK(reply.lines(0).approved());
  CHECK(reply.lines(1).food_name() == "squid");
  CHECK(reply.lines(1).pool_name() == "Seal pool");
  CHECK(reply.lines(1).mass_mg() == 300 * kGram);
  CHECK(reply.lines(1).tolerance_mg() == 10 * kGram);
  CHECK(reply.lines(1).preparation() == "2 cm rings, no beak");
  CHECK(reply.lines(1).presentation() == "scattered");
  CHECK(reply.lines(1).plan().seq() == plan.seq);
  CHECK_FALSE(reply.lines(1).approved());
  CHECK(reply.lines(2).food_name() == "herring");
  CHECK(reply.lines(3).slot_min() == kEvening);
  CHECK_FALSE(reply.lines(4).has_slot_min());

  REQUIRE(reply.totals_size() == 2);
  CHECK(reply.totals(0).food_name() == "herring");
  CHECK(reply.totals(0).mass_mg() == 3 * kKg);
  CHECK(reply.totals(1).mass_mg() == 450 * kGram);
  CHECK_FALSE(reply.totals(1).incomplete());
  const proto::PrepReply hall = k.prep(kDay, "hall");
  CHECK(hall.lines_size() == 1);
  CHECK(hall.totals(0).mass_mg() == 50 * kGram);
  CHECK(k.prep(kDay, "nowhere").lines_size() == 0);
}

TEST_CASE("the plan in force and the weekday choose the lines", "[call][prep]") {
  Kitchen k;
  proto::DietPlan open = k.plan(k.seal);
  Kitchen::line(open, k.herring, kMorning, kKg, 1);                      // Mondays
  Kitchen::line(open, k.herring, kMorning, std::nullopt, 127 - 1);       // Other days, by eye
  k.shift.log(Kind::kDietPlan, open);
  proto::DietPlan stand_in = k.plan(k.seal);
  stand_in.set_first_day(kDay + 2);
  stand_in.set_last_day(kDay + 2);
  Kitchen::line(stand_in, k.squid, kMorning, 0);  // A fast
  k.shift.log(Kind::kDietPlan, stand_in);
  REQUIRE(k.prep().lines_size() == 1);
  CHECK(k.prep().lines(0).mass_mg() == kKg);
  const proto::PrepReply tuesday = k.prep(kDay + 1);
  REQUIRE(tuesday.lines_size() == 1);
  CHECK_FALSE(tuesday.lines(0).has_mass_mg());
  CHECK(tuesday.totals(0).incomplete());
  const proto::PrepReply fast = k.prep(kDay + 2);
  REQUIRE(fast.lines_size() == 1);
  CHECK(fast.lines(0).food_name() == "squid");
  CHECK(fast.lines(0).mass_mg() == 0);
  CHECK(k.prep(kDay + 3).lines(0).food_name() == "herring");
  CHECK(k.prep(kDay - 11).lines_size() == 0);
}

TEST_CASE("a meal of the slot on that day marks its lines as given", "[call][prep]") {
  Kitchen k;
  proto::DietPlan plan = k.plan(k.seal);
  Kitchen::line(plan, k.herring, kMorning, kKg);
  Kitchen::line(plan, k.herring, kEvening, kKg);
  k.shift.log(Kind::kDietPlan, plan);
  const RecordId meal = k.shift.meal(k.seal, k.herring, kMorning, kKg).first;
  CHECK(k.prep().lines(0).given());
  CHECK_FALSE(k.prep().lines(1).given());
  CHECK_FALSE(k.prep(kDay + 1).lines(0).given());
  k.shift.strike(meal, "another seal");
  CHECK_FALSE(k.prep().lines(0).given());
}

TEST_CASE("lots stand in the order of use beside the total; empty ones do not", "[call][prep]") {
  Kitchen k;
  proto::DietPlan plan = k.plan(k.seal);
  Kitchen::line(plan, k.herring, kMorning, kKg);
  k.shift.log(Kind::kDietPlan, plan);
  k.lot("later", kDay + 30, 5);
  k.lot("past", kDay - 1, 5);
  k.lot("first", kDay, 5);
  const RecordId empty = k.lot("empty", kDay, 5);
  proto::StockMovement used;
  *used.mutable_lot() = ref_of(empty);
  used.set_day(kDay);
  used.set_cause(proto::MOVEMENT_CAUSE_USED);
  used.set_change_mg(-9);
  k.shift.log(Kind::kStockMovement, used);
  const proto::PrepReply reply = k.prep();
  const auto& lots = reply.totals(0).lots();
  REQUIRE(lots.size() == 3);
  CHECK(lots[0].code() == "first");
  CHECK(lots[1].code() == "later");
  CHECK(lots[2].code() == "past");
  CHECK(lots[2].past_use_by());
}

// The two clocks of 9 CFR 3.105: 24 h from the freezer, or from being thawed when under refrigeration.
TEST_CASE("thaw batches stand by the end of their clock", "[call][prep]") {
  Kitchen k;
  const WallMs now = Facility::kStartMs;
  const RecordId lot = k.lot("H-1", kDay + 30, 5);
  const RecordId cold = k.thaw(lot, proto::THAW_METHOD_COLD_WATER, now - 24 * kHour - 1);
  k.thaw(lot, proto::THAW_METHOD_REFRIGERATOR, now - 30 * kHour);
  k.thaw(lot, proto::THAW_METHOD_REFRIGERATOR, now - 40 * kHour, now - 20 * kHour);
  k.thaw(lot, proto::THAW_METHOD_COLD_WATER, now + kHour);  // From a tablet whose clock is ahead.
  k.thaw(lot, proto::THAW_METHOD_COLD_WATER, now - 50 * kHour);  // Past for over a day: used up, most likely.
  k.thaw(lot, proto::THAW_METHOD_REFRIGERATOR, now - 24 * 9 * kHour);  // Never seen thawed, over a week ago.
  const proto::PrepReply reply = k.prep();
  REQUIRE(reply.thaws_size() == 4);
  CHECK(reply.thaws(0).past());
  CHECK(reply.thaws(0).use_until_ms() == now - 1);
  CHECK(reply.thaws(0).lot_code() == "H-1");
  CHECK(reply.thaws(0).food_name() == "herring");
  CHECK(reply.thaws(0).mass_mg() == 2 * kKg);
  CHECK_FALSE(reply.thaws(1).past());
  CHECK(reply.thaws(1).use_until_ms() == now + 4 * kHour);
  CHECK(reply.thaws(1).thawed_ms() == now - 20 * kHour);
  CHECK(reply.thaws(2).use_until_ms() == now + 25 * kHour);
  CHECK(reply.thaws(3).use_until_ms() == 0);  // Nobody has seen it thawed yet.
  CHECK(reply.thaws(3).thawed_ms() == 0);

  *k.desk.clock = now - 1;  // At 24:00 to the millisecond it may still be fed.
  CHECK_FALSE(k.prep().thaws(0).past());
  *k.desk.clock = now;
  proto::ThawBatch gone;
  gone.set_discarded_ms(now);
  must(k.shift.try_edit(cold, gone, "discarded"));
  CHECK(k.prep().thaws_size() == 3);
}

// 25 mg thiamine and 100 IU vitamin E for each kg of fish fed as it is (Bernard & Allen 1997, NAG Fact Sheet 005, from
// memory): 3 kg ask for 75 mg and 300 IU, 0.3 kg for 7.5 mg and 30 IU. Here the numbers are a vet's order.
TEST_CASE("a dose reckoned from food goes by the food of its slot", "[call][prep]") {
  Kitchen k;
  proto::DietPlan plan = k.plan(k.seal);
  Kitchen::line(plan, k.herring, kMorning, 3 * kKg);
  Kitchen::line(plan, k.herring, kEvening, 200 * kGram);
  Kitchen::line(plan, k.squid, kEvening, 100 * kGram);
  k.shift.log(Kind::kDietPlan, plan);
  proto::TreatmentOrder both = k.order();
  both.add_slots_min(kEvening);
  both.add_slots_min(kMorning);
  const RecordId order = k.shift.log(Kind::kTreatmentOrder, both);
  const proto::PrepReply reply = k.prep();
  REQUIRE(reply.doses_size() == 2);
  CHECK(reply.doses(0).slot_min() == kMorning);
  CHECK(reply.doses(0).food_mg() == 3 * kKg);
  CHECK(reply.doses(0).dose_ug() == 75'000);
  CHECK(reply.doses(0).ordered_by() == "Ines Valdor");
  CHECK(reply.doses(0).substance() == "thiamine");
  CHECK(reply.doses(1).dose_ug() == 7'500);
  CHECK(k.prep(kDay - 1).doses_size() == 0);  // Not ordered yet.
  CHECK(k.prep(kDay, "hall").doses_size() == 0);
  k.shift.strike(order, "changed");

  proto::TreatmentOrder vitamin = k.order();
  vitamin.clear_dose_ug_per_kg_food();
  vitamin.set_dose_units_per_kg_food(100);
  vitamin.set_substance("international units of vitamin E as d-alpha-tocopherol");
  SECTION("once a day, at no meal: the day's food") {
    vitamin.add_slots_min(12 * 60);
    k.shift.log(Kind::kTreatmentOrder, vitamin);
    const proto::PrepDose dose = k.prep().doses(0);
    CHECK(dose.food_mg() == 3'300 * kGram);
    CHECK(dose.dose_units() == 330);
    CHECK_FALSE(dose.has_dose_ug());
  }
  SECTION("twice a day, once at no meal: that one is not reckoned") {
    vitamin.add_slots_min(kMorning);
    vitamin.add_slots_min(12 * 60);
    k.shift.log(Kind::kTreatmentOrder, vitamin);
    const proto::PrepReply twice = k.prep();
    REQUIRE(twice.doses_size() == 2);
    CHECK(twice.doses(0).dose_units() == 300);
    CHECK_FALSE(twice.doses(1).has_dose_units());
    CHECK(twice.doses(1).food_mg() == 0);
  }
  SECTION("a plan whose line has no mass: not reckoned") {
    proto::DietPlan by_eye = k.plan(k.seal);
    by_eye.set_first_day(kDay);
    Kitchen::line(by_eye, k.herring, kMorning, kKg);
    Kitchen::line(by_eye, k.squid, kMorning, std::nullopt);
    k.shift.log(Kind::kDietPlan, by_eye);
    vitamin.add_slots_min(kMorning);
    k.shift.log(Kind::kTreatmentOrder, vitamin);
    REQUIRE(k.prep().doses_size() == 1);
    CHECK_FALSE(k.prep().doses(0).has_dose_units());
  }
}
