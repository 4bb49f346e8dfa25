// Goal: what a person types is stored exactly or refused with a sentence, and what is stored is printed
// exactly, in the form medication-error lists ask for. Method: examples, and a round trip over many values.
#include <catch2/catch.hpp>
#include <random>

#include "decimal.h"
#include "quantity.h"

namespace wrackline::cli {
namespace {

std::int64_t parsed(Unit unit, const char* text) {
  auto value = parse_quantity(unit, text);
  INFO(text << ": " << value.error().message);
  REQUIRE(value);
  return *value;
}

std::string why_not(Unit unit, const char* text) {
  auto value = parse_quantity(unit, text);
  INFO(text);
  REQUIRE_FALSE(value);
  return value.error().message;
}

using Catch::Contains;

TEST_CASE("the unit of a number is the end of its field's name", "[quantity]") {
  CHECK(unit_of("mass_mg") == Unit::kMassMg);
  CHECK(unit_of("dose_ug") == Unit::kDoseUg);
  CHECK(unit_of("given_ul") == Unit::kVolumeUl);
  CHECK(unit_of("given_units") == Unit::kUnits);
  CHECK(unit_of("slot_min") == Unit::kClockMin);
  CHECK(unit_of("due_slot_min") == Unit::kClockMin);
  CHECK(unit_of("slots_min") == Unit::kClockMin);
  CHECK(unit_of("utc_offset_min") == Unit::kOffsetMin);
  CHECK(unit_of("interval_min") == Unit::kDurationMin);
  CHECK(unit_of("happened_ms") == Unit::kInstantMs);
  CHECK(unit_of("day") == Unit::kDay);
  CHECK(unit_of("first_day") == Unit::kDay);
  CHECK(unit_of("water_ppm") == Unit::kPpm);
  CHECK(unit_of("energy_cal_per_g") == Unit::kCalPerG);
  CHECK(unit_of("volume_l") == Unit::kVolumeL);
  CHECK(unit_of("weekdays") == Unit::kWeekdays);
  CHECK(unit_of("head_count") == Unit::kPlain);
  CHECK(name_without_unit("mass_mg") == "mass");
  CHECK(name_without_unit("due_slot_min") == "due_slot");
  CHECK(name_without_unit("energy_cal_per_g") == "energy");
  CHECK(name_without_unit("first_day") == "first_day");
}

TEST_CASE("numbers with units are stored exactly", "[quantity]") {
  CHECK(parsed(Unit::kMassMg, "1.2kg") == 1'200'000);
  CHECK(parsed(Unit::kMassMg, "1,2 kg") == 1'200'000);
  CHECK(parsed(Unit::kMassMg, "350g") == 350'000);
  CHECK(parsed(Unit::kMassMg, "350 G") == 350'000);
  CHECK(parsed(Unit::kMassMg, "0.1kg") == 100'000);
  CHECK(parsed(Unit::kMassMg, "0g") == 0);
  CHECK(parsed(Unit::kMassMg, "12.400kg") == 12'400'000);
  CHECK(parsed(Unit::kDoseUg, "5mg") == 5'000);
  CHECK(parsed(Unit::kDoseUg, "5.0mg") == 5'000);
  CHECK(parsed(Unit::kDoseUg, "250 mcg") == 250);
  CHECK(parsed(Unit::kDoseUg, "250\u00b5g") == 250);
  CHECK(parsed(Unit::kVolumeUl, "0.5 mL") == 500);
  CHECK(parsed(Unit::kUnits, "200 units") == 200);
  CHECK(parsed(Unit::kUnits, "200IU") == 200);
  CHECK(parsed(Unit::kPpm, "72.05%") == 720'500);
  CHECK(parsed(Unit::kCalPerG, "158 kcal/100g") == 1'580);
  CHECK(parsed(Unit::kCalPerG, "1.58kcal/g") == 1'580);
  CHECK(parsed(Unit::kVolumeL, "40m3") == 40'000);
  CHECK(parsed(Unit::kLengthUm, "34.5cm") == 345'000);
  CHECK(parsed(Unit::kClockMin, "08:30") == 510);
  CHECK(parsed(Unit::kClockMin, "8:30") == 510);
  CHECK(parsed(Unit::kDurationMin, "12h") == 720);
  CHECK(parsed(Unit::kDurationMin, "1h30min") == 90);
  CHECK(parsed(Unit::kDurationMin, "2d") == 2880);
  CHECK(parsed(Unit::kWeekdays, "mon,thu") == 0b0001001);
  CHECK(parsed(Unit::kWeekdays, "every") == 0);
  CHECK(parsed(Unit::kDay, "2026-11-24") == 20'781);
}

TEST_CASE("what could mean two things is refused with what would be right", "[quantity]") {
  CHECK_THAT(why_not(Unit::kMassMg, "350"), Contains("no unit"));
  CHECK_THAT(why_not(Unit::kMassMg, "350ml"), Contains("does not fit"));
  CHECK_THAT(why_not(Unit::kMassMg, "1,200g"), Contains("1200 or 1.200"));
  CHECK_THAT(why_not(Unit::kDoseUg, ".5mg"), Contains("write 0.5"));
  CHECK_THAT(why_not(Unit::kDoseUg, "5.mg"), Contains("write 5"));
  CHECK_THAT(why_not(Unit::kMassMg, "0.0000001kg"), Contains("finer than is stored"));
  CHECK_THAT(why_not(Unit::kMassMg, "-5g"), Contains("below zero"));
  CHECK_THAT(why_not(Unit::kMassMg, "1.2.3g"), Contains("not a number"));
  CHECK_THAT(why_not(Unit::kMassMg, "99999999999999kg"), Contains("too large"));
  CHECK_THAT(why_not(Unit::kUnits, "2.5 units"), Contains("whole number"));
  CHECK_THAT(why_not(Unit::kClockMin, "25:00"), Contains("08:30"));
  CHECK_THAT(why_not(Unit::kClockMin, "0830"), Contains("08:30"));
  CHECK_THAT(why_not(Unit::kClockMin, "+8:30"), Contains("08:30"));
  CHECK_THAT(why_not(Unit::kDay, "2026-02-30"), Contains("calendar"));
  CHECK_THAT(why_not(Unit::kWeekdays, "mo,th"), Contains("weekdays"));
  CHECK_THAT(why_not(Unit::kDurationMin, "soon"), Contains("12h"));
}

TEST_CASE("numbers are printed exactly, in the unit a person would say", "[quantity]") {
  CHECK(print_quantity(Unit::kMassMg, 1'200'000) == "1.2 kg");
  CHECK(print_quantity(Unit::kMassMg, 350'000) == "350 g");
  CHECK(print_quantity(Unit::kMassMg, 350'250) == "350.25 g");
  CHECK(print_quantity(Unit::kMassMg, 5) == "5 mg");
  CHECK(print_quantity(Unit::kMassMg, 0) == "0 g");
  CHECK(print_quantity(Unit::kMassMg, -80'000) == "-80 g");
  CHECK(print_quantity(Unit::kPpm, 720'500) == "72.05 %");
  CHECK(print_quantity(Unit::kCalPerG, 1'580) == "158 kcal/100 g");
  CHECK(print_quantity(Unit::kClockMin, 510) == "08:30");
  CHECK(print_quantity(Unit::kOffsetMin, -90) == "-01:30");
  CHECK(print_quantity(Unit::kDurationMin, 720) == "12 h");
  CHECK(print_quantity(Unit::kDurationMin, 2880) == "48 h");
  CHECK(print_quantity(Unit::kWeekdays, 0b0001001) == "mon,thu");
  CHECK(print_quantity(Unit::kWeekdays, 0) == "every day");
  CHECK(print_quantity(Unit::kLengthUm, 345'000) == "34.5 cm");
  CHECK(print_quantity(Unit::kDay, 20'781) == "2026-11-24");
}

TEST_CASE("doses have no trailing zero, a zero before the point, and their unit in full", "[quantity]") {
  CHECK(print_quantity(Unit::kDoseUg, 5'000) == "5 mg");
  CHECK(print_quantity(Unit::kDoseUg, 500) == "0.5 mg");
  CHECK(print_quantity(Unit::kDoseUg, 250) == "0.25 mg");
  CHECK(print_quantity(Unit::kDoseUg, 50) == "50 micrograms");
  CHECK(print_quantity(Unit::kDoseUg, 2'000'000) == "2 g");
  CHECK(print_quantity(Unit::kVolumeUl, 500) == "0.5 mL");
  CHECK(print_quantity(Unit::kVolumeUl, 2'000) == "2 mL");
  CHECK(print_quantity(Unit::kUnits, 200) == "200 units");
}

TEST_CASE("what is printed can be typed back and means the same", "[quantity]") {
  std::mt19937_64 random(20261124);
  const Unit units[] = {Unit::kMassMg,      Unit::kDoseUg,  Unit::kVolumeUl, Unit::kUnits,
                        Unit::kLengthUm,    Unit::kVolumeL, Unit::kPpm,      Unit::kCalPerG,
                        Unit::kEnergyCal,   Unit::kDays,    Unit::kPlain,    Unit::kClockMin,
                        Unit::kDurationMin, Unit::kWeekdays};
  for (const Unit unit : units) {
    for (int i = 0; i < 2'000; ++i) {
      const int bits = static_cast<int>(random() % 34);
      auto value = static_cast<std::int64_t>(random() & ((std::uint64_t{1} << bits) - 1));
      if (unit == Unit::kClockMin) value %= 1440;
      if (unit == Unit::kDurationMin) value %= 1'000'000;
      if (unit == Unit::kWeekdays) value %= 127;  // All seven days print like none: every day.
      const std::string text = print_quantity(unit, value);
      auto back = parse_quantity(unit, text);
      INFO(text << " " << back.error().message);
      REQUIRE(back);
      REQUIRE(*back == value);
    }
  }
}

TEST_CASE("decimals reach the ends of the range", "[decimal]") {
  CHECK(print_decimal(INT64_MIN, 3) == "-9223372036854775.808");
  CHECK(*parse_decimal("9223372036854775807", 0) == INT64_MAX);
  CHECK_FALSE(parse_decimal("9223372036854775808", 0));
  CHECK(print_decimal(1, 6) == "0.000001");
  CHECK_FALSE(parse_decimal("", 0));
  CHECK_FALSE(parse_decimal("-", 0));
  CHECK_FALSE(parse_decimal("1e3", 0));
}

}  // namespace
}  // namespace wrackline::cli
