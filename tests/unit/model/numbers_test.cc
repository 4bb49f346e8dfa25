// Goal: the numbers of an entry are found and judged: by the site's nearest limit, and by what is probable
// anywhere. Method: entries as their fields stand on the wire; every row of the table is held against the
// message it speaks of.
#include "model/numbers.h"

#include <catch2/catch.hpp>
#include <tuple>

#include "records.pb.h"

using namespace wrackline;

namespace {

const RecordId kSila{{7}, 1}, kMeal{{7}, 2};

SiteLimitRow limit(RecordId subject, std::optional<std::int64_t> low, std::optional<std::int64_t> high) {
  SiteLimitRow row;
  row.subject = subject;
  row.kind = static_cast<std::uint32_t>(Kind::kPortion);
  row.field = proto::Portion::kOfferedMgFieldNumber;
  row.low = low;
  row.high = high;
  return row;
}

Number offered(std::int64_t mg) {
  proto::Portion portion;
  portion.set_offered_mg(static_cast<std::uint64_t>(mg));
  const auto numbers = numbers_in(Kind::kPortion, portion.SerializeAsString());
  REQUIRE(numbers.size() == 1);
  REQUIRE(numbers[0].value == mg);
  return numbers[0];
}

}  // namespace

TEST_CASE("each row of the table of numbers has a known kind and ordered bounds, and stands once", "[model]") {
  std::set<std::tuple<Kind, std::uint32_t, std::optional<std::uint64_t>>> seen;
  Kind before{};
  for (const NumberRow& row : all_numbers()) {
    CHECK(row.kind >= before);
    before = row.kind;
    CAPTURE(row.field);
    const KindRow* kind = find_kind(static_cast<std::uint32_t>(row.kind));
    REQUIRE(kind != nullptr);
    CHECK(seen.emplace(row.kind, row.field, row.detail).second);
    CHECK((!row.low || !row.high || *row.low < *row.high));
    CHECK((!row.detail || kind->key.detail != 0));
    CHECK((row.gross_field != 0) == (row.tare_field != 0));
  }
}

TEST_CASE("the offered mass is net, or gross less dish, and is judged when an edit touches it", "[model]") {
  proto::Portion portion;
  portion.set_gross_mg(120'350'000);
  portion.set_tare_mg(350'000);
  portion.set_left_mg(5'000);
  const std::string fields = portion.SerializeAsString();
  auto numbers = numbers_in(Kind::kPortion, fields);
  REQUIRE(numbers.size() == 2);
  CHECK(numbers[0].value == 120'000'000);
  CHECK(numbers[0].is_improbable());
  CHECK(numbers[1].value == 5'000);
  CHECK_FALSE(numbers[1].is_improbable());
  const std::set<std::uint32_t> tare = {proto::Portion::kTareMgFieldNumber},
                                note = {proto::Portion::kNoteFieldNumber};
  CHECK(numbers_in(Kind::kPortion, fields, &tare).size() == 1);
  CHECK(numbers_in(Kind::kPortion, fields, &note).empty());
  portion.clear_tare_mg();
  CHECK(numbers_in(Kind::kPortion, portion.SerializeAsString()).size() == 1);
}

TEST_CASE("a value is judged by the quantity or parameter it is of, signed where it can be below zero",
          "[model]") {
  proto::WaterReading reading;
  reading.set_parameter(proto::PARAMETER_TEMPERATURE);
  reading.set_value(-2'600);
  auto numbers = numbers_in(Kind::kWaterReading, reading.SerializeAsString());
  REQUIRE(numbers.size() == 1);
  CHECK(numbers[0].value == -2'600);
  CHECK(numbers[0].is_improbable());
  CHECK(numbers[0].detail == std::optional<std::uint64_t>(proto::PARAMETER_TEMPERATURE));
  reading.set_value(-2'500);
  CHECK_FALSE(numbers_in(Kind::kWaterReading, reading.SerializeAsString())[0].is_improbable());
  reading.set_parameter(proto::PARAMETER_REDOX);
  CHECK(numbers_in(Kind::kWaterReading, reading.SerializeAsString())[0].is_improbable());
  // Another parameter makes another thing of the same value.
  const std::set<std::uint32_t> parameter = {proto::WaterReading::kParameterFieldNumber};
  CHECK(numbers_in(Kind::kWaterReading, reading.SerializeAsString(), &parameter).size() == 1);

  proto::StockMovement movement;
  movement.set_change_mg(-30'000'000'000);
  CHECK(numbers_in(Kind::kStockMovement, movement.SerializeAsString())[0].is_improbable());
}

TEST_CASE("the nearest subject that has a limit decides, and everybody's holds where none has", "[model]") {
  const std::vector<RecordId> subjects = {kMeal, kSila};
  std::vector<SiteLimitRow> limits = {limit({}, {}, 1'000), limit(kSila, 200, 5'000)};
  CHECK(limit_beyond(limits, subjects, offered(5'000)) ==
        nullptr);  // Above everybody's, within the animal's own.
  CHECK(limit_beyond(limits, subjects, offered(5'001)) == &limits[1]);
  CHECK(limit_beyond(limits, subjects, offered(199)) == &limits[1]);
  CHECK(limit_beyond(limits, {kMeal}, offered(1'001)) == &limits[0]);
  CHECK(limit_beyond(limits, {kMeal}, offered(1'000)) == nullptr);
  // A limit of another field or quantity has no say, and does not hide everybody's.
  limits[1].field = proto::Portion::kLeftMgFieldNumber;
  CHECK(limit_beyond(limits, subjects, offered(1'001)) == &limits[0]);
  limits[0].detail = 3;
  CHECK(limit_beyond(limits, subjects, offered(1'001)) == nullptr);
}
