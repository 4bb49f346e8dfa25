// Goal: the water of a pool is shown beside the limits in account, each limit with what is not certain of it.
// Method: a pool with readings and limits logged through the public call; the hub must answer alike.
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kDay = 20'717;  // The day of Facility::kStartMs.
constexpr WallMs kHour = 3'600'000;

struct Waterside {
  Facility facility;
  Device& desk;
  Shift shift;
  RecordId pool;

  Waterside() : desk(facility.add_device("desk")), shift((facility.exchange_all(), desk), facility.keeper()) {
    proto::Pool message;
    message.set_name("Seal pool 1");
    pool = shift.log(Kind::kPool, message);
  }

  RecordId read(proto::Parameter parameter, std::int64_t value, int hours_before = 0,
                const std::string& method = {}) {
    proto::WaterReading reading;
    *reading.mutable_pool() = ref_of(pool);
    const WallMs at_ms = Facility::kStartMs - static_cast<WallMs>(hours_before) * kHour;
    reading.set_day(static_cast<Day>(at_ms / 86'400'000));
    reading.set_happened_ms(at_ms);
    reading.set_utc_offset_min(0);
    reading.set_parameter(parameter);
    reading.set_value(value);
    reading.set_method(method);
    return shift.log(Kind::kWaterReading, reading);
  }

  RecordId limit(proto::Parameter parameter, std::optional<std::int64_t> low,
                 std::optional<std::int64_t> high, bool own, bool unverified = false,
                 std::uint32_t every_hours = 0) {
    proto::WaterLimit row;
    if (own) *row.mutable_pool() = ref_of(pool);
    row.set_parameter(parameter);
    if (low) row.set_low(*low);
    if (high) row.set_high(*high);
    if (every_hours != 0) row.set_every_hours(every_hours);
    row.set_source("the centre's own plan");
    row.set_unverified(unverified);
    return shift.log(Kind::kWaterLimit, row);
  }

  proto::Call asked(Day first = kDay, Day last = kDay) const {
    proto::Call call;
    *call.mutable_water()->mutable_pool() = ref_of(pool);
    call.mutable_water()->set_first_day(first);
    call.mutable_water()->set_last_day(last);
    return call;
  }
  proto::WaterReply water(Day first = kDay, Day last = kDay) {
    return shift.must_call(asked(first, last)).water();
  }
};

RecordId id(const proto::RecordRef& ref) { return {LogId{ref.log()}, ref.seq()}; }

}  // namespace

TEST_CASE("a pool's own limit goes before that of every pool, and an unverified row is marked so", "[call]") {
  Waterside side;
  side.read(proto::PARAMETER_PH, 8'300);
  CHECK(side.water().points(0).judgement() == proto::JUDGEMENT_UNSPECIFIED);
  const RecordId general = side.limit(proto::PARAMETER_PH, 7'200, 8'200, false, true);
  proto::WaterPoint point = side.water().points(0);
  CHECK(point.judgement() == proto::JUDGEMENT_ABOVE);
  CHECK(id(point.limit()) == general);
  CHECK(point.unverified_limit());

  const RecordId own = side.limit(proto::PARAMETER_PH, 7'200, 8'500, true);
  point = side.water().points(0);
  CHECK(point.judgement() == proto::JUDGEMENT_INSIDE);
  CHECK(id(point.limit()) == own);
  CHECK_FALSE(point.unverified_limit());

  // Among several own rows the one that is overstepped decides; the limits themselves are inside.
  const RecordId strict = side.limit(proto::PARAMETER_PH, 8'301, std::nullopt, true);
  point = side.water().points(0);
  CHECK(point.judgement() == proto::JUDGEMENT_BELOW);
  CHECK(id(point.limit()) == strict);
  side.shift.strike(strict, "a slip");
  CHECK(side.water().points(0).judgement() == proto::JUDGEMENT_INSIDE);
}

TEST_CASE("a row that only says how often to read judges no value and displaces no bounds", "[call]") {
  Waterside side;
  side.read(proto::PARAMETER_TEMPERATURE, 30'000);
  side.limit(proto::PARAMETER_TEMPERATURE, 5'000, 20'000, false);
  side.limit(proto::PARAMETER_TEMPERATURE, std::nullopt, std::nullopt, true, false, 24);
  CHECK(side.water().points(0).judgement() == proto::JUDGEMENT_ABOVE);
}

TEST_CASE("a property is overdue when its last reading is older than the row that asks most often",
          "[call]") {
  Waterside side;
  side.limit(proto::PARAMETER_PH, std::nullopt, std::nullopt, false, false, 24);
  REQUIRE(side.water().overdue_size() == 1);
  CHECK(side.water().overdue(0).last_ms() == 0);
  const RecordId reading = side.read(proto::PARAMETER_PH, 8'000, 24);
  *side.desk.clock = Facility::kStartMs;
  CHECK(side.water().overdue_size() == 0);  // Every 24 hours: 24 hours are not too long.
  *side.desk.clock = Facility::kStartMs + 60'000;
  REQUIRE(side.water().overdue_size() == 1);
  CHECK(side.water().overdue(0).last_ms() == Facility::kStartMs - 24 * kHour);
  CHECK(side.water().overdue(0).every_hours() == 24);
  side.limit(proto::PARAMETER_PH, std::nullopt, std::nullopt, true, false,
             48);  // The pool's own stands before it.
  CHECK(side.water().overdue_size() == 0);
  side.limit(proto::PARAMETER_PH, std::nullopt, std::nullopt, true, false, 12);
  CHECK(side.water().overdue(0).every_hours() == 12);
  side.shift.strike(reading, "another pool");
  CHECK(side.water().overdue(0).last_ms() == 0);
}

// 50 mS/cm at 25 degrees C is 32.733167; computed with the library gsw 3.6.16.
TEST_CASE("derived figures name their readings, meet their limits, and come with the span", "[call]") {
  Waterside side;
  const RecordId conductivity = side.read(proto::PARAMETER_CONDUCTIVITY, 50'000);
  const RecordId temperature = side.read(proto::PARAMETER_TEMPERATURE, 25'000);
  side.limit(proto::PARAMETER_SALINITY, 15'000, 32'000, false);
  side.limit(proto::PARAMETER_AMMONIA, std::nullopt, 1, false);
  side.read(proto::PARAMETER_PH, 8'100, 0, "probe, NBS buffers");
  side.read(proto::PARAMETER_AMMONIA, 1'000);
  const proto::WaterReply water = side.water();
  REQUIRE(water.derived_size() == 3);
  CHECK(water.derived(0).derived() == proto::DERIVED_SALINITY);
  CHECK(water.derived(0).value() == 32'733);
  CHECK(water.derived(0).judgement() == proto::JUDGEMENT_ABOVE);
  REQUIRE(water.derived(0).from_size() == 2);
  CHECK(id(water.derived(0).from(0)) == conductivity);
  CHECK(id(water.derived(0).from(1)) == temperature);
  CHECK(water.derived(1).derived() == proto::DERIVED_DENSITY);
  // A limit of total ammonia is none of the un-ionised.
  CHECK(water.derived(2).derived() == proto::DERIVED_AMMONIA_UNIONISED);
  CHECK(water.derived(2).judgement() == proto::JUDGEMENT_UNSPECIFIED);
  CHECK(side.water(kDay + 1, kDay + 3).derived_size() == 0);
}

// 9 CFR 3.106: an average equal to the limit does not fall below it.
TEST_CASE("the facility's row judges the mean of coliform samples, and counts those before the span",
          "[call]") {
  Waterside side;
  side.read(proto::PARAMETER_COLIFORM, 1'500, 96);
  side.read(proto::PARAMETER_COLIFORM, 900, 48);
  side.read(proto::PARAMETER_COLIFORM, 600, 0);
  CHECK(side.water().derived_size() == 0);
  side.limit(proto::PARAMETER_COLIFORM, std::nullopt, 1'000, false);
  proto::WaterReply water = side.water();
  REQUIRE(water.derived_size() == 1);
  CHECK(water.derived(0).value() == 1'000'000);
  CHECK(water.derived(0).judgement() == proto::JUDGEMENT_ABOVE);
  CHECK(water.derived(0).day() == kDay);
  CHECK(water.points_size() == 1);
}

TEST_CASE("water is refused for what is no pool, and for a span that ends before it begins", "[call]") {
  Waterside side;
  proto::Call call = side.asked();
  *call.mutable_water()->mutable_pool() = ref_of(side.shift.animal("Sila"));
  CHECK(side.shift.call(call).failure().message().find("is no pool") != std::string::npos);
  CHECK(side.shift.call(side.asked(kDay, kDay - 1)).failure().message().find("before the first") !=
        std::string::npos);
}

TEST_CASE("the hub answers about water as the desk does, byte for byte", "[call]") {
  Waterside side;
  side.read(proto::PARAMETER_TEMPERATURE, 12'300);
  side.read(proto::PARAMETER_SALINITY, 33'900);
  side.limit(proto::PARAMETER_TEMPERATURE, 5'000, 20'000, false, true);
  side.facility.exchange_all();
  const Bytes call = side.asked().SerializeAsString();
  const Bytes here = dispatch(*side.desk.replica, call);
  CHECK(here == dispatch(*side.facility.hub().replica, call, CallScope::kReadOnly));
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(here));
  CHECK(reply.water().points_size() == 2);
}

TEST_CASE("a figure that its formula refuses is in the answer with the reason and its readings", "[call]") {
  Waterside side;
  side.read(proto::PARAMETER_CHLORINE_FREE, 300);
  const RecordId total = side.read(proto::PARAMETER_CHLORINE_TOTAL, 200);
  const proto::WaterReply reply = side.water();
  CHECK(reply.derived_size() == 0);
  REQUIRE(reply.refused_size() == 1);
  CHECK(reply.refused(0).derived() == proto::DERIVED_CHLORINE_COMBINED);
  CHECK(reply.refused(0).day() == kDay);
  CHECK(reply.refused(0).reason().find("less than the free") != std::string::npos);
  REQUIRE(reply.refused(0).from_size() == 2);
  CHECK(id(reply.refused(0).from(0)) == total);
  CHECK(side.water(kDay + 1, kDay + 2).refused_size() == 0);
}
