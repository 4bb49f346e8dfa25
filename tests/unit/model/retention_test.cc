// model/retention.h: floors by kind, and the last day on which one holds.
#include "model/retention.h"

#include <catch2/catch.hpp>

#include "base/iso_week.h"
#include "model/kinds.h"

using namespace wrackline;

namespace {

Day date(std::int32_t year, std::uint32_t month, std::uint32_t day) { return *day_of(CivilDate{year, month, day}); }

const RetentionFloor& floor_of(Kind kind) {
  const RetentionFloor* floor = retention_floor(static_cast<std::uint32_t>(kind));
  REQUIRE(floor != nullptr);
  return *floor;
}

// 9 CFR 3.105(c): feeding records, one year. 21 CFR 1304.04(a): records of controlled substances, at least two years.
// 9 CFR 2.80: records of an animal for one year after it left. Water, one year: 9 CFR 3.106, its number from memory.
TEST_CASE("each floor has the years of the text that it names", "[retention]") {
  CHECK(floor_of(Kind::kMeal).years == 1);
  CHECK(floor_of(Kind::kPortion).source == "9 CFR 3.105(c)");
  CHECK(floor_of(Kind::kWaterReading).years == 1);
  CHECK(floor_of(Kind::kAdministration).years == 2);
  CHECK(floor_of(Kind::kTreatmentOrder).start == RetentionStart::kLastDay);
  CHECK(floor_of(Kind::kAnimal).start == RetentionStart::kAnimalLeft);
  CHECK(floor_of(Kind::kObservation).source == "9 CFR 2.80");
  for (const KindRow& row : all_kinds()) {
    const RetentionFloor* floor = retention_floor(static_cast<std::uint32_t>(row.kind));
    if (floor != nullptr) CHECK((floor->years > 0 && !floor->source.empty()));
  }
}

TEST_CASE("a kind that no text names, or a newer release's, has no floor", "[retention]") {
  CHECK(retention_floor(static_cast<std::uint32_t>(Kind::kCue)) == nullptr);
  CHECK(retention_floor(0) == nullptr);
  CHECK(retention_floor(4'000'000) == nullptr);
}

TEST_CASE("a record is kept through the day that ends its period, and always while that has not begun", "[retention]") {
  const RetentionFloor& feeding = floor_of(Kind::kMeal);
  CHECK(must_be_kept(feeding, date(2024, 5, 1), date(2025, 5, 1)));
  CHECK_FALSE(must_be_kept(feeding, date(2024, 5, 1), date(2025, 5, 2)));
  CHECK(must_be_kept(feeding, date(2024, 5, 1), date(2024, 4, 30)));
  CHECK(must_be_kept(floor_of(Kind::kAnimal), std::nullopt, date(2999, 1, 1)));
}

TEST_CASE("a leap day's period does not end early", "[retention]") {
  CHECK(years_after(date(2024, 2, 29), 1) == date(2025, 3, 1));
  CHECK(years_after(date(2024, 2, 29), 4) == date(2028, 2, 29));
  CHECK(years_after(date(2023, 12, 31), 1) == date(2024, 12, 31));
  CHECK(years_after(date(9999, 6, 1), 1) > date(9999, 12, 31));
}

}  // namespace
