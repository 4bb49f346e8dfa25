// Goal: the calls about bodies, intake over time and the whole collection say what the records hold, no more.
// Method: a small invented facility; every replica must answer alike.
#include <cmath>

#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kDay = 20'717;  // The day of Facility::kStartMs.

struct Centre {
  Facility facility;
  Device& desk;
  Shift shift;
  RecordId seal, herring;

  Centre() : desk(facility.add_device("desk")), shift((facility.exchange_all(), desk), facility.keeper()) {
    proto::Pool pool;
    pool.set_name("Seal pool 1");
    pool.set_area("yard");
    const RecordId pool_id = shift.log(Kind::kPool, pool);
    proto::Animal animal;
    animal.set_name("Sila");
    *animal.mutable_pool() = ref_of(pool_id);
    seal = shift.log(Kind::kAnimal, animal);
    proto::Food food;
    food.set_name("herring");
    food.set_energy_cal_per_g(1580);
    food.set_water_ppm(720'500);
    food.set_calcium_ug_per_g(570);
    food.set_phosphorus_ug_per_g(2360);
    herring = shift.log(Kind::kFood, food);
  }

  void measure(Day day, proto::Quantity quantity, std::uint64_t value) {
    proto::Measure measure;
    *measure.mutable_animal() = ref_of(seal);
    measure.set_day(day);
    measure.set_quantity(quantity);
    measure.set_value(value);
    shift.log(Kind::kMeasure, measure);
  }

  void plan(std::uint64_t mass_mg, std::uint64_t tolerance_mg) {
    proto::DietPlan plan;
    *plan.mutable_animal() = ref_of(seal);
    plan.set_first_day(kDay - 1000);
    proto::DietLine& line = *plan.add_lines();
    *line.mutable_food() = ref_of(herring);
    line.set_mass_mg(mass_mg);
    line.set_tolerance_mg(tolerance_mg);
    shift.log(Kind::kDietPlan, plan);
  }

  void eat(Day day, std::uint64_t eaten_mg, bool weighed_back = true) {
    proto::Meal meal;
    *meal.mutable_animal() = ref_of(seal);
    meal.set_day(day);
    meal.set_slot_min(510);
    proto::Portion portion;
    *portion.mutable_meal() = ref_of(shift.log(Kind::kMeal, meal));
    *portion.mutable_food() = ref_of(herring);
    portion.set_offered_mg(eaten_mg + 100'000);
    if (weighed_back) portion.set_left_mg(100'000);
    shift.log(Kind::kPortion, portion);
  }

  proto::BodyReply body(Day first, Day last) {
    proto::Call call;
    *call.mutable_body()->mutable_animal() = ref_of(seal);
    call.mutable_body()->set_first_day(first);
    call.mutable_body()->set_last_day(last);
    return shift.must_call(call).body();
  }

  proto::IntakeTrendReply trend(Day first, Day last) {
    proto::Call call;
    *call.mutable_intake_trend()->mutable_animal() = ref_of(seal);
    call.mutable_intake_trend()->set_first_day(first);
    call.mutable_intake_trend()->set_last_day(last);
    call.mutable_intake_trend()->set_step_mg(50'000);
    return shift.must_call(call).intake_trend();
  }
};

}  // namespace

// 12.0 kg to 11.4 kg in 14 days is -5 % and, by logarithms, -0.366381 % a day; computed by an independent script.
TEST_CASE("change, growth and mass on a day without a weighing come from the weighings", "[call]") {
  Centre centre;
  centre.measure(kDay - 14, proto::QUANTITY_MASS, 12'000'000);
  centre.measure(kDay, proto::QUANTITY_MASS, 11'400'000);
  const proto::BodyReply whole = centre.body(kDay - 20, kDay);
  CHECK(whole.points_size() == 2);
  CHECK(whole.change_ppm() == -50'000);
  CHECK(whole.growth_ppm_per_day() == -3664);
  CHECK(whole.growth_mg_per_day() == -42'857);
  CHECK(whole.mass_mg() == 11'400'000);
  CHECK(whole.mass_age_days() == 0);

  // The weighing of the last day is not known to a question about the days before it.
  const proto::BodyReply before = centre.body(kDay - 20, kDay - 7);
  CHECK(before.mass_mg() == 12'000'000);
  CHECK(before.mass_age_days() == 7);
  CHECK_FALSE(before.has_change_ppm());
  CHECK_FALSE(centre.body(kDay - 40, kDay - 30).has_mass_mg());
}

// 25 kg and 59.0 cm: 1.2173; computed by an independent script.
TEST_CASE("mass for length needs a straight length of the same day, never a curved one", "[call]") {
  Centre centre;
  centre.measure(kDay, proto::QUANTITY_MASS, 25'000'000);
  centre.measure(kDay, proto::QUANTITY_LENGTH_CURVED, 590'000);
  CHECK_FALSE(centre.body(kDay, kDay).has_condition_millionths());
  centre.measure(kDay - 1, proto::QUANTITY_LENGTH_STRAIGHT, 590'000);
  CHECK_FALSE(centre.body(kDay - 5, kDay).has_condition_millionths());
  centre.measure(kDay, proto::QUANTITY_LENGTH_STRAIGHT, 590'000);
  const proto::BodyReply body = centre.body(kDay - 5, kDay);
  CHECK(std::lround(body.condition_millionths() / 100.0) == 12173);
  CHECK(body.condition_day() == kDay);
}

TEST_CASE("days that nobody recorded or wholly weighed are gaps in intake over time", "[call]") {
  Centre centre;
  centre.plan(1'000'000, 50'000);
  for (int i = 0; i < 7; ++i) {
    if (i != 2) centre.eat(kDay - 6 + i, 1'000'000 + 10'000 * static_cast<std::uint64_t>(i), i != 4);
  }
  const proto::IntakeTrendReply trend = centre.trend(kDay - 6, kDay);
  REQUIRE(trend.points_size() == 7);
  CHECK_FALSE(trend.points(2).has_eaten_mg());
  CHECK_FALSE(trend.points(4).has_eaten_mg());
  CHECK(trend.points(6).eaten_mg() == 1'060'000);
  CHECK(trend.days_complete() == 5);
  CHECK(trend.windows(0).counted() == 5);
  CHECK(trend.windows(0).eaten_mean_mg() == 1'030'000);
  CHECK(trend.days_with_plan() == 5);
  CHECK(trend.days_within_plan() == 4);  // 1.06 kg is over by more than 50 g; 1.05 kg is on the edge.
  CHECK(trend.ration_mg() == 1'050'000);  // The median, 1.03 kg, by steps of 50 g.
  CHECK(trend.calcium_per_phosphorus_thousandths() == 242);
  CHECK_FALSE(trend.has_baseline_mg());
}

TEST_CASE("a fall in what is eaten raises an alarm after a quiet first half", "[call]") {
  Centre centre;
  for (int i = 0; i < 24; ++i) {
    const std::uint64_t noise = (static_cast<std::uint64_t>(i) * 7 % 5) * 20'000;
    centre.eat(kDay - 23 + i, (i < 16 ? 2'000'000u : 1'000'000u) + noise);
  }
  const proto::IntakeTrendReply trend = centre.trend(kDay - 23, kDay);
  CHECK(trend.has_baseline_mg());
  for (int i = 0; i < 16; ++i) CHECK_FALSE(trend.points(i).alarm());
  CHECK(trend.points(18).alarm());
  CHECK(trend.trend_z_thousandths() < -1960);
  CHECK(trend.trend_mg_per_week() < 0);
}

TEST_CASE("a light day of the plan is not marked in intake over time, a day off the plan is", "[call]") {
  Centre centre;
  proto::DietPlan plan;
  *plan.mutable_animal() = ref_of(centre.seal);
  plan.set_first_day(kDay - 1000);
  const std::uint32_t sunday = 1u << 6;
  for (const auto& [weekdays, mass_mg] : {std::pair(127u - sunday, 2'000'000u), std::pair(sunday, 1'000'000u)}) {
    proto::DietLine& line = *plan.add_lines();
    *line.mutable_food() = ref_of(centre.herring);
    line.set_weekdays(weekdays);
    line.set_mass_mg(mass_mg);
  }
  centre.shift.log(Kind::kDietPlan, plan);
  const Day first = kDay - 55;
  const auto is_sunday = [](Day day) { return (day + 3) % 7 == 6; };  // Day 0 was a Thursday.
  int sundays = 0;
  for (Day day = first; day <= kDay; ++day) {
    const std::uint64_t planned = is_sunday(day) ? 1'000'000 : 2'000'000;
    const std::uint64_t eaten = planned * static_cast<std::uint64_t>(930 + day * 5 % 7 * 10) / 1000;
    centre.eat(day, day == kDay - 9 ? planned / 2 : eaten);
    sundays += is_sunday(day);
  }
  REQUIRE(sundays == 8);
  const proto::IntakeTrendReply reply = centre.trend(first, kDay);
  CHECK(reply.usual_plan_mg() == 2'000'000);
  for (const proto::ChartPoint& point : reply.points()) {
    CAPTURE(point.day());
    CHECK(point.outlier() == (point.day() == kDay - 9));
    CHECK(point.judged_mg() == (is_sunday(point.day()) ? 2 : 1) * point.eaten_mg());
  }
}

TEST_CASE("the collection's day has every animal, fed or not, and is the same bytes at the hub", "[call]") {
  Centre centre;
  proto::Animal octopus;
  octopus.set_name("Blekk");
  centre.shift.log(Kind::kAnimal, octopus);
  centre.eat(kDay, 900'000);
  centre.facility.exchange_all();
  proto::Call call;
  call.mutable_collection_day()->set_day(kDay);
  const Bytes here = dispatch(*centre.desk.replica, call.SerializeAsString());
  const Bytes there = dispatch(*centre.facility.hub().replica, call.SerializeAsString(), CallScope::kReadOnly);
  CHECK(here == there);
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(here));
  REQUIRE(reply.collection_day().animals_size() == 2);
  CHECK(reply.collection_day().animals(0).animal_name() == "Blekk");  // Without an area, so first.
  CHECK_FALSE(reply.collection_day().animals(0).intake().recorded());
  CHECK(reply.collection_day().animals(1).intake().eaten_mg() == 900'000);
  call.mutable_collection_day()->set_area("yard");
  CHECK(centre.shift.must_call(call).collection_day().animals_size() == 1);
}
