// Goal: the stock call adds up what every tablet booked, and forecasts from the plans in force.
// Method: a small invented facility whose two tablets take from one lot out of each other's reach.
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kDay = 20'717;  // The day of Facility::kStartMs; a Monday.
constexpr std::int64_t kKg = 1'000'000;

struct Stores {
  Facility facility;
  Device& north;
  Device& south;
  Shift shift, other;
  RecordId seal, herring, squid;

  Stores()
      : north(facility.add_device("north")),
        south(facility.add_device("south")),
        shift((facility.exchange_all(), north), facility.keeper()),
        other(south, facility.keeper()) {
    seal = shift.animal("Sila");
    squid = shift.food("squid");
    herring = shift.food("herring");
  }

  RecordId lot(RecordId food, const std::string& code, std::optional<Day> use_by) {
    proto::Lot lot;
    *lot.mutable_food() = ref_of(food);
    lot.set_code(code);
    lot.set_store("freezer 1");
    if (use_by) lot.set_use_by_day(*use_by);
    return shift.log(Kind::kLot, lot);
  }
  static RecordId move(Shift& by, RecordId lot, proto::MovementCause cause, std::int64_t mg) {
    proto::StockMovement movement;
    *movement.mutable_lot() = ref_of(lot);
    movement.set_day(kDay);
    movement.set_happened_ms(Facility::kStartMs);
    movement.set_utc_offset_min(120);
    movement.set_cause(cause);
    movement.set_change_mg(mg);
    return by.log(Kind::kStockMovement, movement);
  }
  void plan(RecordId food, std::optional<std::uint64_t> mg) {
    proto::DietPlan plan;
    *plan.mutable_animal() = ref_of(seal);
    plan.set_first_day(kDay - 10);
    proto::DietLine& line = *plan.add_lines();
    *line.mutable_food() = ref_of(food);
    if (mg) line.set_mass_mg(*mg);
    shift.log(Kind::kDietPlan, plan);
  }
  static proto::StockReply stock(Shift& by, Day day = kDay, std::uint32_t horizon = 0) {
    proto::Call call;
    call.mutable_stock()->set_day(day);
    call.mutable_stock()->set_horizon_days(horizon);
    return by.must_call(call).stock();
  }
};

}  // namespace

TEST_CASE("two tablets that took from one lot are both in the sum", "[call][stock]") {
  Stores s;
  const RecordId lot = s.lot(s.herring, "H-1", kDay + 90);
  Stores::move(s.shift, lot, proto::MOVEMENT_CAUSE_RECEIVED, 20 * kKg);
  s.facility.exchange_all();
  Stores::move(s.shift, lot, proto::MOVEMENT_CAUSE_USED, -3 * kKg);
  const RecordId slip = Stores::move(s.other, lot, proto::MOVEMENT_CAUSE_USED, -4 * kKg);
  CHECK(Stores::stock(s.shift).foods(0).on_hand_mg() == 17 * kKg);
  s.facility.exchange_all();
  CHECK(Stores::stock(s.shift).foods(0).on_hand_mg() == 13 * kKg);
  CHECK(Stores::stock(s.other).SerializeAsString() == Stores::stock(s.shift).SerializeAsString());
  s.other.strike(slip, "another lot");
  CHECK(Stores::stock(s.other).foods(0).on_hand_mg() == 17 * kKg);
}

TEST_CASE("foods come by name, their lots in the order of use, with what to order", "[call][stock]") {
  Stores s;
  for (const auto& [food, code, use_by] :
       {std::tuple(s.squid, "S-1", std::optional<Day>(kDay + 5)), std::tuple(s.herring, "H-2", std::optional<Day>()),
        std::tuple(s.herring, "H-old", std::optional<Day>(kDay - 1)),
        std::tuple(s.herring, "H-1", std::optional<Day>(kDay + 3))}) {
    Stores::move(s.shift, s.lot(food, code, use_by), proto::MOVEMENT_CAUSE_RECEIVED, 2 * kKg);
  }
  s.plan(s.herring, kKg);
  const proto::StockReply reply = Stores::stock(s.shift);
  REQUIRE(reply.foods_size() == 2);
  const proto::FoodStock& herring = reply.foods(0);
  CHECK(herring.food_name() == "herring");
  REQUIRE(herring.lots_size() == 3);
  CHECK(herring.lots(0).code() == "H-1");
  CHECK(herring.lots(0).store() == "freezer 1");
  CHECK(herring.lots(0).use_by_day() == kDay + 3);
  CHECK(herring.lots(1).code() == "H-2");
  CHECK_FALSE(herring.lots(1).has_use_by_day());
  CHECK(herring.lots(2).code() == "H-old");
  CHECK(herring.lots(2).past_use_by());
  CHECK(herring.on_hand_mg() == 4 * kKg);
  CHECK(herring.past_use_by_mg() == 2 * kKg);
  CHECK(herring.need_mg() == 14 * kKg);
  CHECK(herring.lasts_days() == 4);
  CHECK(herring.order_mg() == 10 * kKg);
  CHECK(reply.foods(1).food_name() == "squid");
  CHECK(reply.foods(1).on_hand_mg() == 2 * kKg);
  CHECK_FALSE(reply.foods(1).has_lasts_days());
  // In five days both dated lots are past; the other one is as it was.
  const proto::StockReply later = Stores::stock(s.shift, kDay + 6, 3);
  CHECK(later.foods(0).on_hand_mg() == 2 * kKg);
  CHECK(later.foods(0).need_mg() == 3 * kKg);
  CHECK(later.foods(0).order_mg() == kKg);
  CHECK(later.foods(1).past_use_by_mg() == 2 * kKg);
}

TEST_CASE("a food that is planned and not in store is in the list", "[call][stock]") {
  Stores s;
  s.plan(s.squid, std::nullopt);
  const proto::StockReply reply = Stores::stock(s.shift);
  REQUIRE(reply.foods_size() == 1);
  CHECK(reply.foods(0).food_name() == "squid");
  CHECK(reply.foods(0).need_incomplete());
  s.shift.strike(s.seal, "released");
  CHECK(Stores::stock(s.shift).foods_size() == 0);
  proto::Call call;
  call.mutable_stock()->set_day(kDay);
  call.mutable_stock()->set_horizon_days(400);
  CHECK(s.shift.call(call).failure().message().find("horizon") != std::string::npos);
}
