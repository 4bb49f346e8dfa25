// Goal: what a person types is stored exactly or refused with a sentence, and what is stored is printed
// exactly, in the form medication-error lists ask for. Method: examples, and a round trip over many values.
#include <catch2/catch.hpp>
#include <random>

#include "text/decimal.h"
#include "text/quantity.h"

namespace wrackline::text {
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

TEST_CASE("a span between doses is read as prescriptions say it, unless that is easily misread", "[quantity]") {
  CHECK(parsed(Unit::kDurationMin, "q8h") == 480);
  CHECK(parsed(Unit::kDurationMin, "every 8 hours") == 480);
  CHECK(parsed(Unit::kDurationMin, "Q.12.H.") == 720);
  CHECK(parsed(Unit::kDurationMin, "8h") == 480);
  for (const char* other : {"QOD", "BID", "SID", "twice a day", "PRN"}) why_not(Unit::kDurationMin, other);
}

TEST_CASE("the unit of a number is the end of its field's name, or stands beside the field", "[quantity]") {
  struct Row {
    const char* message;
    const char* field;
    Unit unit;
    const char* bare_name;
  };
  const Row rows[] = {{"DietLine", "mass_mg", Unit::kMassMg, "mass"},
                      {"TreatmentOrder", "dose_ug", Unit::kDoseUg, "dose"},
                      {"Administration", "given_ul", Unit::kVolumeUl, "given"},
                      {"Administration", "given_units", Unit::kUnits, "given"},
                      {"Meal", "slot_min", Unit::kClockMin, "slot"},
                      {"Administration", "due_slot_min", Unit::kClockMin, "due_slot"},
                      {"TreatmentOrder", "slots_min", Unit::kClockMin, "slots"},
                      {"Meal", "utc_offset_min", Unit::kOffsetMin, "utc_offset"},
                      {"TreatmentOrder", "interval_min", Unit::kDurationMin, "interval"},
                      {"Meal", "happened_ms", Unit::kInstantMs, "happened"},
                      {"Meal", "day", Unit::kDayNumber, "day"},
                      {"DietPlan", "first_day", Unit::kDayNumber, "first_day"},
                      {"Food", "water_ppm", Unit::kPpm, "water"},
                      {"Food", "energy_cal_per_g", Unit::kCalPerG, "energy"},
                      {"Pool", "volume_l", Unit::kVolumeL, "volume"},
                      {"DietLine", "weekdays", Unit::kWeekdays, "weekdays"},
                      {"Animal", "head_count", Unit::kPlain, "head_count"},
                      {"StockMovement", "change_mg", Unit::kMassChangeMg, "change"},
                      {"StockMovement", "counted_mg", Unit::kMassMg, "counted"},
                      {"TreatmentOrder", "dose_ug_per_kg", Unit::kDoseUgPerKg, "dose"},
                      {"TreatmentOrder", "dose_ug_per_kg_food", Unit::kDoseUgPerKgFood, "dose"},
                      {"TreatmentOrder", "dose_units_per_kg_food", Unit::kUnitsPerKgFood, "dose"},
                      {"TreatmentOrder", "strength_ug_per_ml", Unit::kStrengthUgPerMl, "strength"},
                      {"TreatmentOrder", "strength_ug_per_unit", Unit::kStrengthUgPerUnit, "strength"},
                      {"TreatmentOrder", "unit_parts", Unit::kTabletParts, "unit_parts"},
                      {"Food", "calcium_ug_per_g", Unit::kUgPerG, "calcium"},
                      {"Enricher", "gap_days", Unit::kDays, "gap"},
                      {"WaterLimit", "every_hours", Unit::kHours, "every"},
                      {"Scan", "every_s", Unit::kSeconds, "every"},
                      {"TreatmentOrder", "every_min", Unit::kDurationMin, "every"},
                      {"EnrichmentUse", "minutes", Unit::kMinutes, "minutes"},
                      {"TrainingSession", "successes", Unit::kPlain, "successes"}};
  for (const Row& row : rows) {
    CAPTURE(row.message, row.field);
    const FieldSchema* says = find_field(row.message, row.field);
    REQUIRE(says);
    CHECK(says->unit == row.unit);
    CHECK(says->bare_name == row.bare_name);
  }
  CHECK_FALSE(find_field("Meal", "nothing"));
  CHECK_FALSE(find_field("StatusReply", "unsent"));
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
  CHECK(parsed(Unit::kDayNumber, "2026-11-24") == 20'781);
  CHECK(parsed(Unit::kMassChangeMg, "-12.5kg") == -12'500'000);
  CHECK(parsed(Unit::kMassChangeMg, "+200 kg") == 200'000'000);
  CHECK(parsed(Unit::kUgPerG, "57mg/100g") == 570);
  CHECK(parsed(Unit::kHours, "24h") == 24);
  CHECK(parsed(Unit::kSeconds, "2min") == 120);
  CHECK(parsed(Unit::kMinutes, "10") == 10);
  CHECK(parsed(Unit::kMinutes, "1h30min") == 90);
}

TEST_CASE("doses per kilogram say of what, and strengths in what", "[quantity]") {
  CHECK(parsed(Unit::kDoseUgPerKg, "5mg/kg") == 5'000);
  CHECK(parsed(Unit::kDoseUgPerKg, "0,5 mg/kg") == 500);
  CHECK(parsed(Unit::kDoseUgPerKg, "250 \u00b5g/kg") == 250);
  CHECK(parsed(Unit::kDoseUgPerKgFood, "30mg/kg food") == 30'000);
  CHECK(parsed(Unit::kUnitsPerKgFood, "100 IU/kg fish") == 100);
  CHECK(parsed(Unit::kStrengthUgPerMl, "50mg/mL") == 50'000);
  CHECK(parsed(Unit::kStrengthUgPerUnit, "250mg/tablet") == 250'000);
  CHECK(parsed(Unit::kTabletParts, "1/4") == 4);
  CHECK(parsed(Unit::kTabletParts, "2") == 2);
  // A dose for the animal must never be read as one for its food, nor the other way round.
  CHECK_THAT(why_not(Unit::kDoseUgPerKg, "30mg/kg food"), Contains("does not fit"));
  CHECK_THAT(why_not(Unit::kDoseUgPerKgFood, "30mg/kg"), Contains("30mg/kg food"));
  CHECK_THAT(why_not(Unit::kDoseUg, "5mg/kg"), Contains("does not fit"));
  CHECK_THAT(why_not(Unit::kStrengthUgPerMl, "50mg"), Contains("50mg/mL"));
  CHECK(print_quantity(Unit::kDoseUgPerKg, 500) == "0.5 mg/kg");
  CHECK(print_quantity(Unit::kDoseUgPerKg, 5'000) == "5 mg/kg");
  CHECK(print_quantity(Unit::kDoseUgPerKg, 50) == "50 micrograms/kg");
  CHECK(print_quantity(Unit::kUnitsPerKgFood, 100) == "100 units/kg food");
}

// The values that a pool's instruments show, in their units; the conversions are powers of ten, and hPa to Pa and
// mS/cm to S/m are those of the SI.
TEST_CASE("readings of the water have the unit of their parameter", "[quantity]") {
  CHECK(parsed(Unit::kTemperature, "24.5C") == 24'500);
  CHECK(parsed(Unit::kTemperature, "-1,8 \u00b0C") == -1'800);
  CHECK(parsed(Unit::kSalinity, "34.2psu") == 34'200);
  CHECK(parsed(Unit::kConductivity, "48.3mS/cm") == 48'300);
  CHECK(parsed(Unit::kConductivity, "850 \u00b5S/cm") == 850);
  CHECK(parsed(Unit::kPh, "8.12") == 8'120);
  CHECK(parsed(Unit::kPh, "pH 8.12") == 8'120);
  CHECK(parsed(Unit::kMassPerL, "7.1mg/L") == 7'100);
  CHECK(parsed(Unit::kNitrogenPerL, "0.02mg/L") == 20);
  CHECK(parsed(Unit::kNitrogenPerL, "0.02 mg/L as N") == 20);
  CHECK(parsed(Unit::kPpm, "98%") == 980'000);
  CHECK(parsed(Unit::kRedox, "350mV") == 350);
  CHECK(parsed(Unit::kRedox, "-120mV") == -120);
  CHECK(parsed(Unit::kMostProbableNumber, "900 MPN") == 900);
  CHECK(parsed(Unit::kPressurePa, "1013hPa") == 101'300);
  CHECK(parsed(Unit::kPressurePa, "1013.25 hPa") == 101'325);
  CHECK(parsed(Unit::kTurbidity, "0.35NTU") == 350);
  CHECK(parsed(Unit::kScore, "3,5") == 3'500);
  CHECK_THAT(why_not(Unit::kTemperature, "24.5"), Contains("24.5C"));
  CHECK_THAT(why_not(Unit::kTemperature, "75F"), Contains("does not fit"));
  CHECK_THAT(why_not(Unit::kSalinity, "34.2"), Contains("34.2psu"));
  CHECK_THAT(why_not(Unit::kNitrogenPerL, "0.02 mg/L as NO3"), Contains("as nitrogen"));
  CHECK_THAT(why_not(Unit::kPh, "8,120"), Contains("8120 or 8.120"));
  CHECK(print_quantity(Unit::kConductivity, 850) == "850 \u00b5S/cm");
  CHECK(print_quantity(Unit::kConductivity, 48'300) == "48.3 mS/cm");
  CHECK(print_quantity(Unit::kPressurePa, 101'325) == "1013.25 hPa");
  CHECK(print_quantity(Unit::kCarbonatePerL, 115'000) == "115 mg/L as CaCO3");
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
  CHECK_THAT(why_not(Unit::kDayNumber, "2026-02-30"), Contains("calendar"));
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
  CHECK(print_quantity(Unit::kDayNumber, 20'781) == "2026-11-24");
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
                        Unit::kDurationMin, Unit::kWeekdays,
                        Unit::kMassChangeMg, Unit::kDoseUgPerKg, Unit::kDoseUgPerKgFood, Unit::kUnitsPerKgFood,
                        Unit::kStrengthUgPerMl, Unit::kStrengthUgPerUnit, Unit::kTabletParts, Unit::kMinutes,
                        Unit::kSeconds, Unit::kHours, Unit::kUgPerG, Unit::kScore, Unit::kTemperature, Unit::kSalinity,
                        Unit::kConductivity, Unit::kPh, Unit::kMassPerL, Unit::kNitrogenPerL, Unit::kChlorinePerL,
                        Unit::kCarbonatePerL, Unit::kRedox, Unit::kMostProbableNumber, Unit::kTurbidity,
                        Unit::kPressurePa};
  for (const Unit unit : units) {
    for (int i = 0; i < 2'000; ++i) {
      const int bits = static_cast<int>(random() % 34);
      auto value = static_cast<std::int64_t>(random() & ((std::uint64_t{1} << bits) - 1));
      if (unit == Unit::kClockMin) value %= 1440;
      if (unit == Unit::kDurationMin || unit == Unit::kMinutes) value %= 1'000'000;
      if (unit == Unit::kSeconds) value %= 1'000'000'000;
      if (unit == Unit::kTabletParts) value = 1 + value % 8;
      if ((unit == Unit::kMassChangeMg || unit == Unit::kTemperature || unit == Unit::kRedox) && i % 2) value = -value;
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
}  // namespace wrackline::text
