// Doses, drops, pounds and frequencies against published worked examples and lists.
//
// The source stands above each check. "Own rows" were computed by an independent script.
#include <catch2/catch.hpp>

#include "base/iso_week.h"
#include "dosing/amount_text.h"
#include "dosing/body_mass_age.h"
#include "dosing/dose.h"
#include "dosing/drops.h"
#include "dosing/frequency.h"
#include "dosing/risky_notation.h"
#include "schedule/zone_offsets.h"

using namespace wrackline;

namespace {

constexpr std::uint64_t kKg = 1'000'000, kGramUg = 1'000'000;

FrequencyRead read(std::string_view text) {
  const auto result = parse_frequency(text);
  INFO(text);
  REQUIRE(result);
  return *result;
}

}  // namespace

// A nursing guide to preparing medicines, p. 82: 2.5 mg/kg, 18 kg, 125 mg in 3 mL: 45 mg, 1.08 mL.
TEST_CASE("2.5 mg for each of 18 kg, of 125 mg in 3 mL, are 1.08 mL", "[reference]") {
  const ExactAmount dose_ug = dose_by_body_mass_ug(2500, 18 * kKg).value();
  CHECK(dose_ug == whole_amount(45'000));
  const ExactAmount volume_ul = volume_of_dose_ul(dose_ug, {125'000, 3000}).value();
  CHECK(volume_ul == whole_amount(1080));
  CHECK(dose_mass_text(dose_ug) == "45 mg");
  CHECK(dose_volume_text(volume_ul) == "1.08 mL");
}

// A nursing review set: 0.4 g with 200 mg capsules: 2; 10 mg at 5 mg/mL: 2 mL.
TEST_CASE("0.4 g are two capsules of 200 mg, 10 mg are 2 mL at 5 mg/mL", "[reference]") {
  const ExactAmount capsules = tablets_of_dose(whole_amount(400'000), 200'000).value();
  CHECK(capsules == whole_amount(2));
  CHECK(tablets_text(capsules, "capsule") == "2 capsules");
  const ExactAmount volume_ul = volume_of_dose_ul(whole_amount(10'000), strength_per_ml(5000)).value();
  CHECK(dose_volume_text(volume_ul) == "2 mL");
}

// The same review set: 500 mL in 4 h at 12 drops/mL: 25 a minute; 1000 mL in 24 h at 60: 41.67, so 42.
TEST_CASE("a drip of 500 mL in 4 h is 25 drops a minute, of 1000 mL in 24 h it is 42", "[reference]") {
  CHECK(drops_per_minute(500'000, 240, 12).value() == whole_amount(25));
  const ExactAmount fast = drops_per_minute(1'000'000, 1440, 60).value();
  CHECK(fast == exact_amount(125, 3).value());
  CHECK(whole_drops(fast).value() == 42);
}

// Own rows.
TEST_CASE("5 mg for each of 12.4 kg are 62 mg and 1.24 mL; 2.5 mg for each of 22.7 kg are 56.75 mg",
          "[reference]") {
  const ExactAmount dose_ug = dose_by_body_mass_ug(5000, 12'400'000).value();
  CHECK(dose_mass_text(dose_ug) == "62 mg");
  CHECK(dose_volume_text(volume_of_dose_ul(dose_ug, strength_per_ml(50'000)).value()) == "1.24 mL");
  CHECK(dose_mass_text(dose_by_body_mass_ug(2500, 22'700'000).value()) == "56.75 mg");
}

// International yard and pound agreement of 1959: 1 lb = 0.45359237 kg exactly. Nursing sheets divide by 2.2;
// 55 lb are 25 kg there. Own rows: 24.94758 kg; 10 mg/kg: 249.4758 mg against 250.
TEST_CASE("55 lb are 24.94758 kg, not 25", "[reference]") {
  CHECK(mass_mg_of_pounds(1000).value() == 453'592);  // .37
  const std::uint64_t mass_mg = mass_mg_of_pounds(55'000).value();
  CHECK(mass_mg == 24'947'580);
  CHECK(dose_mass_text(dose_by_body_mass_ug(10'000, mass_mg).value()) == "249.4758 mg");
  CHECK(dose_mass_text(dose_by_body_mass_ug(10'000, 25 * kKg).value()) == "250 mg");
}

// SI prefixes (BIPM, SI brochure): 1 g = 1000 mg = 1 000 000 micrograms.
TEST_CASE("a gram is 1000 mg and 1 000 000 micrograms", "[reference]") {
  CHECK(dose_mass_text(whole_amount(kGramUg)) == "1 g");
  CHECK(dose_mass_text(whole_amount(kGramUg / 2)) == "500 mg");
}

// Per cent weight in volume is grams in 100 mL: 1 % = 10 mg/mL, 2.5 % = 25, 0.9 % = 9. Pharmacy convention.
TEST_CASE("1 per cent weight in volume is 10 mg in a millilitre", "[reference]") {
  CHECK(volume_of_dose_ul(whole_amount(10'000), strength_of_percent(1000)).value() == whole_amount(1000));
  CHECK(volume_of_dose_ul(whole_amount(25'000), strength_of_percent(2500)).value() == whole_amount(1000));
  CHECK(dose_in_volume_ug(whole_amount(1000), strength_of_percent(900)).value() == whole_amount(9000));
}

// One nursing sheet prints both: 20 drops are about 1 mL, and 60 drops are 5 mL (12 to the millilitre).
TEST_CASE("two drops of one sheet differ, so a drop is the product's", "[reference]") {
  CHECK(whole_drops(drops_of_volume(5000, 20).value()).value() == 100);
  CHECK(whole_drops(drops_of_volume(5000, 12).value()).value() == 60);
  CHECK_FALSE(drops_of_volume(5000, 0));
}

// Halves away from zero at a syringe's scale: common practice, no source.
TEST_CASE("0.125 mL on a scale of 0.05 mL is 0.15 mL, and 20 % more than ordered", "[reference]") {
  const MeasurableAmount tie = measurable_volume(whole_amount(125), 50).value();
  CHECK(dose_volume_text(tie.exact) == "0.125 mL");
  CHECK(dose_volume_text(tie.rounded) == "0.15 mL");
  CHECK(difference_text(tie.difference_ppm) == "+20 %");
  // On a finer scale the same amount can be measured.
  CHECK(measurable_volume(whole_amount(125), 5).value().difference_ppm == 0);
}

// Common practice, no source: a scored tablet is halved, a cross-scored one quartered, a capsule neither.
TEST_CASE("62 mg in tablets of 25 mg are two and a half, as far as the form allows", "[reference]") {
  const ExactAmount tablets = tablets_of_dose(whole_amount(62'000), 25'000).value();
  CHECK(tablets == exact_amount(62, 25).value());
  CHECK(tablets_text(measurable_tablets(tablets, TabletParts::kQuarters).value().rounded, "tablet") ==
        "2 and a half tablets");
  CHECK(tablets_text(measurable_tablets(tablets, TabletParts::kWhole).value().rounded, "capsule") ==
        "2 capsules");
}

// The usual veterinary and medical abbreviations: common practice, no source.
TEST_CASE("abbreviations of frequency have their hours", "[reference]") {
  const auto hours = [](std::string_view text) { return nominal_interval_min(read(text).frequency) / 60; };
  for (const char* text : {"SID", "q24h", "daily"}) CHECK(hours(text) == 24);
  for (const char* text : {"BID", "q12h"}) CHECK(hours(text) == 12);
  for (const char* text : {"TID", "q8h"}) CHECK(hours(text) == 8);
  for (const char* text : {"QID", "q6h"}) CHECK(hours(text) == 6);
  for (const char* text : {"EOD", "q48h", "QOD", "q2d"}) CHECK(hours(text) == 48);
  CHECK(hours("q72h") == 72);
  CHECK(hours("weekly") == 168);
  CHECK(hours("once weekly") == 168);
}

// The Joint Commission, official "Do Not Use" list: QD and QOD in all spellings; BID, TID, QID are not on it.
TEST_CASE("QD and QOD are confirmed and printed in words; BID, TID and QID are not on the list",
          "[reference]") {
  for (const char* text : {"QD", "Q.D.", "qd", "q.d."}) {
    CHECK(read(text).reading == FrequencyReading::kMisread);
    CHECK(frequency_text(read(text).frequency) == "once a day");
  }
  for (const char* text : {"QOD", "Q.O.D.", "qod", "q.o.d"}) {
    CHECK(read(text).reading == FrequencyReading::kMisread);
    CHECK(frequency_text(read(text).frequency) == "every 48 hours");
  }
  for (const char* text : {"BID", "TID", "QID"}) CHECK(read(text).reading == FrequencyReading::kAbbreviation);
}

// The same list, the rest of it. BID, TID and QID are not on it.
TEST_CASE("every entry of the Do Not Use list is found in an order's text", "[reference]") {
  for (const char* text : {"10 U", "10 u", "10U", "5 IU", "QD", "Q.D.", "qd", "q.d.", "QOD", "Q.O.D.", "qod",
                           "q.o.d", "5.0 mg", ".5 mg", "MS", "MSO4", "MgSO4"}) {
    CAPTURE(text);
    CHECK(find_risky_notation(text).size() == 1);
  }
  for (const char* text : {"10 units", "0.5 mg", "5 mg", "BID", "TID", "QID"}) {
    CAPTURE(text);
    CHECK(find_risky_notation(text).empty());
  }
}

// ISMP, list of error-prone abbreviations, from memory: o.d., q1d, qhs, cc, micro sign with g, SC, SQ.
TEST_CASE("entries of the error-prone list are found too", "[reference]") {
  for (const char* text : {"o.d.", "q1d", "qhs", "2 cc", "50 \xC2\xB5g", "SC", "SQ"}) {
    CAPTURE(text);
    CHECK(find_risky_notation(text).size() == 1);
  }
}

// Common practice, no source: a site that asks for a new mass after 30 days. The clocks in New York went
// forward on 2026-03-08, so these 30 days have 719 hours.
TEST_CASE("a mass is 30 days old over a clock change too, and too old the day after", "[reference]") {
  const auto zone =
      ZoneOffsets::make({{1'767'225'600'000, -300}, {1'772'953'200'000, -240}}, 1'793'512'800'000);
  REQUIRE(zone);
  const WallMs weighed_ms = zone->instant(day_of({2026, 2, 20}).value(), 9 * 60).value().at_ms;
  const WallMs used_ms = zone->instant(day_of({2026, 3, 22}).value(), 9 * 60).value().at_ms;
  CHECK(used_ms - weighed_ms == 719 * 3'600'000ull);
  const Day weighed = zone->local(weighed_ms).value().day;
  const Day used = zone->local(used_ms).value().day;
  CHECK(body_mass_age(weighed, used, 30).age_days == 30);
  CHECK(body_mass_age(weighed, used, 30).verdict == BodyMassVerdict::kRecent);
  CHECK(body_mass_age(weighed, used + 1, 30).verdict == BodyMassVerdict::kTooOld);
}
