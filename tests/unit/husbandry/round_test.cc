// Goal: the round shows what is due by the plans, when by the facility's clock, and how it stands by what is known
// here. Method: plans and events on devices that know different things, clocks set by hand, a day on which the
// clocks change.
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kToday = 20'717;
constexpr WallMs kMidnightMs = static_cast<WallMs>(kToday) * kDayMs;

struct Centre {
  Facility facility;
  Device& desk;
  Device& tablet;
  Shift shift, keeper;
  RecordId seal, herring;

  Centre()
      : desk(facility.add_device("desk")), tablet(facility.add_device("tablet")),
        shift((facility.exchange_all(), desk), facility.keeper()), keeper(tablet, facility.keeper()) {
    proto::Pool pool;
    pool.set_name("Seal pool 1");
    proto::Area yard;
    yard.set_name("yard");
    *pool.mutable_in_area() = ref_of(shift.log(Kind::kArea, yard));
    proto::Animal animal;
    animal.set_name("Sila");
    *animal.mutable_pool() = ref_of(shift.log(Kind::kPool, pool));
    seal = shift.log(Kind::kAnimal, animal);
    herring = shift.food("herring");
  }

  void at(Device& device, WallMs since_midnight_ms) { *device.clock = kMidnightMs + since_midnight_ms; }

  void plan() {
    proto::DietPlan plan;
    *plan.mutable_animal() = ref_of(seal);
    plan.set_first_day(kToday - 10);
    for (std::uint32_t slot : {510u, 990u}) {
      proto::DietLine& line = *plan.add_lines();
      *line.mutable_food() = ref_of(herring);
      line.set_slot_min(slot);
      line.set_mass_mg(1'200'000);
    }
    proto::DietLine& weekend = *plan.add_lines();
    *weekend.mutable_food() = ref_of(herring);
    weekend.set_weekdays(0x60);  // Saturday and Sunday; kToday is a Monday.
    shift.log(Kind::kDietPlan, plan);
  }

  proto::RoundReply round(Shift& who, Day day = kToday, const std::vector<std::pair<std::int64_t, int>>& offsets = {{0, 0}}) {
    proto::Call call;
    call.mutable_round()->set_day(day);
    for (const auto& [from_ms, offset_min] : offsets) {
      proto::ZoneOffset& zone = *call.mutable_round()->add_zone();
      zone.set_from_ms(from_ms);
      zone.set_utc_offset_min(offset_min);
    }
    return who.must_call(call).round();
  }
};

std::vector<proto::DueState> states(const proto::RoundReply& round) {
  std::vector<proto::DueState> out;
  for (const proto::DueItem& item : round.items()) out.push_back(item.state());
  return out;
}

using States = std::vector<proto::DueState>;

}  // namespace

TEST_CASE("a meal is upcoming, due, late, missed and done in the course of the day", "[call]") {
  Centre centre;
  centre.plan();
  centre.at(centre.desk, 23 * kHourMs);
  centre.facility.exchange_all();
  const auto at = [&](WallMs since_midnight_ms) {
    centre.at(centre.desk, since_midnight_ms);
    return centre.round(centre.shift);
  };
  const proto::RoundReply morning = at(6 * kHourMs);
  REQUIRE(morning.items_size() == 2);
  CHECK(morning.items(0).due_ms() == kMidnightMs + 510 * 60'000);
  CHECK(morning.items(0).subject_name() == "Sila");
  CHECK(morning.items(0).pool_name() == "Seal pool 1");
  CHECK(morning.items(0).planned_mg() == 1'200'000);
  CHECK(morning.items(0).what() == "herring");
  CHECK(states(morning) == States{proto::DUE_STATE_UPCOMING, proto::DUE_STATE_UPCOMING});
  CHECK(states(at(8 * kHourMs)) == States{proto::DUE_STATE_DUE, proto::DUE_STATE_UPCOMING});
  CHECK(states(at(11 * kHourMs)) == States{proto::DUE_STATE_LATE, proto::DUE_STATE_UPCOMING});
  // The second meal's time has come.
  CHECK(states(at(17 * kHourMs)) == States{proto::DUE_STATE_MISSED, proto::DUE_STATE_DUE});
  const auto [meal, portion] = centre.shift.meal(centre.seal, centre.herring, 990, 1'200'000);
  const proto::RoundReply evening = at(20 * kHourMs);
  CHECK(states(evening) == States{proto::DUE_STATE_MISSED, proto::DUE_STATE_DONE});
  CHECK(evening.items(1).done_by().seq() == meal.seq);
  // Struck, it was never given.
  centre.shift.strike(meal, "wrong animal");
  CHECK(states(centre.round(centre.shift))[1] == proto::DUE_STATE_LATE);
}

TEST_CASE("care that others may have given since the last exchange is not known here, not missed", "[call]") {
  Centre centre;
  centre.plan();
  centre.at(centre.tablet, 6 * kHourMs);
  centre.at(centre.desk, 6 * kHourMs);
  centre.at(centre.facility.hub(), 6 * kHourMs);
  centre.facility.exchange_all();
  centre.at(centre.desk, 9 * kHourMs);
  (void)centre.shift.meal(centre.seal, centre.herring, 510, 1'200'000);
  centre.at(centre.tablet, 11 * kHourMs);
  CHECK(states(centre.round(centre.keeper))[0] == proto::DUE_STATE_NOT_KNOWN);
  centre.at(centre.facility.hub(), 11 * kHourMs);
  centre.facility.exchange_all();
  CHECK(states(centre.round(centre.keeper))[0] == proto::DUE_STATE_DONE);
}

TEST_CASE("a dose by slots and one by elapsed hours are due by different rules", "[call]") {
  Centre centre;
  const RecordId by_slot = centre.shift.order(centre.seal);  // At 08:00.
  proto::TreatmentOrder order;
  *order.mutable_animal() = ref_of(centre.seal);
  order.set_preparation("drops");
  order.set_dose_ul(200);
  order.set_first_day(kToday - 2);
  order.set_every_min(8 * 60);
  *order.mutable_ordered_by() = ref_of(centre.facility.keeper());
  const RecordId by_hours = centre.shift.log(Kind::kTreatmentOrder, order);
  centre.at(centre.desk, 3 * kHourMs);
  (void)centre.shift.dose(by_hours, 180);
  centre.facility.exchange_all();
  const proto::RoundReply round = centre.round(centre.shift);
  std::vector<std::pair<WallMs, bool>> hours;
  bool has_slot = false;
  for (const proto::DueItem& item : round.items()) {
    CHECK(item.due_kind() == proto::DUE_KIND_DOSE);
    if (item.plan().seq() == by_hours.seq) hours.emplace_back((item.due_ms() - kMidnightMs) / kHourMs, item.state() == proto::DUE_STATE_DONE);
    if (item.plan().seq() == by_slot.seq) has_slot = item.slot_min() == 480;
  }
  CHECK(has_slot);
  CHECK(hours == std::vector<std::pair<WallMs, bool>>{{3, true}, {11, false}, {19, false}});
}

// Dates and offsets of New York, 8 March 2026, from the IANA time-zone data: 09:00 is 13:00 UTC on that day and 14:00
// on the day before.
TEST_CASE("a nine o'clock feed stays at nine o'clock when the clocks change", "[call]") {
  Centre centre;
  constexpr Day kSunday = 20'520;  // 2026-03-08
  proto::DietPlan plan;
  *plan.mutable_animal() = ref_of(centre.seal);
  plan.set_first_day(kSunday - 5);
  proto::DietLine& line = *plan.add_lines();
  *line.mutable_food() = ref_of(centre.herring);
  line.set_slot_min(540);
  line.set_mass_mg(1'000'000);
  centre.shift.log(Kind::kDietPlan, plan);
  const std::vector<std::pair<std::int64_t, int>> new_york = {{1'762'063'200'000, -300}, {1'772'953'200'000, -240}};
  const WallMs sunday_ms = static_cast<WallMs>(kSunday) * kDayMs;
  CHECK(centre.round(centre.shift, kSunday - 1, new_york).items(0).due_ms() == sunday_ms - kDayMs + 14 * kHourMs);
  CHECK(centre.round(centre.shift, kSunday, new_york).items(0).due_ms() == sunday_ms + 13 * kHourMs);
}

TEST_CASE("a weighing is due so many days after the last, and enrichment when the week demands it", "[call]") {
  Centre centre;
  proto::WatchPlan watch;
  *watch.mutable_subject() = ref_of(centre.seal);
  watch.set_first_day(kToday - 30);
  watch.set_quantity(proto::QUANTITY_MASS);
  watch.set_every_days(7);
  centre.shift.log(Kind::kWatchPlan, watch);
  proto::Measure measure;
  *measure.mutable_animal() = ref_of(centre.seal);
  measure.set_day(kToday - 6);
  measure.set_quantity(proto::QUANTITY_MASS);
  measure.set_value(80'000'000);
  centre.shift.log(Kind::kMeasure, measure);
  CHECK(centre.round(centre.shift).items_size() == 0);
  CHECK(centre.round(centre.shift, kToday + 1).items(0).quantity() == proto::QUANTITY_MASS);

  proto::EnrichmentPlan plan;
  *plan.mutable_animal() = ref_of(centre.seal);
  plan.set_first_day(kToday - 30);
  plan.set_times_per_week(2);
  centre.shift.log(Kind::kEnrichmentPlan, plan);
  const auto has_enrichment = [&](Day day) {
    const proto::RoundReply round = centre.round(centre.shift, day);
    for (const proto::DueItem& item : round.items()) {
      if (item.due_kind() == proto::DUE_KIND_ENRICHMENT) return true;
    }
    return false;
  };
  CHECK_FALSE(has_enrichment(kToday));    // Monday: six more days.
  CHECK(has_enrichment(kToday + 5));      // Saturday: two days for two.
}

TEST_CASE("a round is refused without the facility's offsets, and is the same bytes twice", "[call]") {
  Centre centre;
  centre.plan();
  proto::Call call;
  call.mutable_round()->set_day(kToday);
  CHECK(centre.shift.call(call).has_failure());
  CHECK(centre.round(centre.shift).SerializeAsString() == centre.round(centre.shift).SerializeAsString());
}
