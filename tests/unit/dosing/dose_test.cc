// dosing/dose.h: exact until measured, what cannot be measured is refused, and the way there and back.
#include "dosing/dose.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;
using Catch::Contains;

namespace {

constexpr std::uint64_t kHuge = std::numeric_limits<std::uint64_t>::max();

ExactAmount amount(std::int64_t numerator, std::int64_t divisor) {
  return exact_amount(numerator, divisor).value();
}

template <typename T>
std::string why_not(const Result<T>& result) {
  REQUIRE_FALSE(result);
  CHECK(result.error().code == ErrorCode::kInvalid);
  return result.error().message;
}

}  // namespace

TEST_CASE("an exact amount is in lowest terms, and never negative or divided by nothing", "[dosing]") {
  CHECK(amount(6, 4) == amount(3, 2));
  CHECK(amount(0, 7) == amount(0, 1));
  CHECK(amount(6, 4).numerator == 3);
  CHECK_FALSE(exact_amount(-1, 2));
  CHECK_FALSE(exact_amount(1, 0));
  CHECK_FALSE(exact_amount(1, -2));
  CHECK_FALSE(exact_amount(kExactNumeratorMax + 1, 1));
  CHECK(exact_amount(kExactNumeratorMax, 1));
  CHECK_FALSE(exact_amount(1, kExactDivisorMax + 1));
  CHECK(exact_amount(kExactDivisorMax * 2, kExactDivisorMax * 2));
}

TEST_CASE("a dose by body mass keeps what a microgram would lose", "[dosing]") {
  // 3 micrograms for each kilogram of 333 g are 0.999 micrograms.
  CHECK(dose_by_body_mass_ug(3, 333'000).value() == amount(999, 1000));
  CHECK(dose_by_body_mass_ug(1, 1).value() == amount(1, 1'000'000));
}

TEST_CASE("a dose without a number, or with one in the wrong unit, is refused", "[dosing]") {
  CHECK_THAT(why_not(dose_by_body_mass_ug(0, 1'000'000)), Contains("dose for each kilogram is 0"));
  CHECK_THAT(why_not(dose_by_body_mass_ug(5000, 0)), Contains("body mass is 0"));
  CHECK_THAT(why_not(dose_by_body_mass_ug(kDosePerKgUgMax + 1, 1)), Contains("check its unit"));
  CHECK_THAT(why_not(dose_by_body_mass_ug(1, kDoseBodyMassMgMax + 1)), Contains("check its unit"));
  CHECK_FALSE(dose_by_body_mass_ug(kHuge, kHuge));
  CHECK_FALSE(volume_of_dose_ul(amount(1, 1), {0, 1000}));
  CHECK_FALSE(volume_of_dose_ul(amount(1, 1), {1000, 0}));
  CHECK_FALSE(volume_of_dose_ul(amount(1, 1), {kHuge, kHuge}));
  CHECK_FALSE(volume_of_dose_ul(amount(0, 1), strength_per_ml(5000)));
  CHECK_FALSE(volume_of_units_ul(amount(1, 1), {0, 1000}));
  CHECK_FALSE(tablets_of_dose(amount(1, 1), 0));
  CHECK_FALSE(dose_in_tablets_ug(amount(1, 1), 0));
  CHECK_FALSE(dose_in_volume_ug(amount(1, 1), {0, 1000}));
  CHECK_FALSE(measurable_volume(amount(1, 1), 0));
  CHECK_FALSE(mass_mg_of_pounds(kHuge));
  // Put together by hand.
  CHECK_FALSE(volume_of_dose_ul({-1, 1}, strength_per_ml(5000)));
  CHECK_FALSE(tablets_of_dose({1, 0}, 5000));
  CHECK_FALSE(measurable_tablets({1, -4}, TabletParts::kQuarters));
  CHECK_FALSE(measurable_volume({kExactNumeratorMax * 2, 1}, 50));
}

TEST_CASE("the largest plausible numbers are computed or refused, never wrapped", "[dosing]") {
  const ExactAmount dose_ug = dose_by_body_mass_ug(kDosePerKgUgMax, kDoseBodyMassMgMax).value();
  CHECK(dose_ug == whole_amount(1'000'000'000'000'000));
  CHECK(volume_of_dose_ul(dose_ug, {1, kDoseVolumeUlMax}).value().numerator ==
        Int128(1'000'000'000'000'000) * 1'000'000'000);
  CHECK_FALSE(measurable_volume(volume_of_dose_ul(dose_ug, {1, kDoseVolumeUlMax}).value(), 1));
  const ExactAmount largest{kExactNumeratorMax, 1};
  CHECK_FALSE(dose_in_tablets_ug(largest, kDoseMassUgMax));
  CHECK_FALSE(tablets_of_dose({1, kExactDivisorMax}, kDoseMassUgMax));
  CHECK_FALSE(measurable_tablets(largest, TabletParts::kQuarters));
}

TEST_CASE("a volume is rounded to the scale's step, with how far off it is", "[dosing]") {
  const MeasurableAmount near = measurable_volume(amount(1240, 1), 50).value();
  CHECK(near.exact == whole_amount(1240));
  CHECK(near.rounded == whole_amount(1250));
  CHECK(near.steps == 25);
  CHECK(near.difference_ppm == 8065);  // 10 / 1240
  const MeasurableAmount less = measurable_volume(amount(1220, 1), 50).value();
  CHECK(less.rounded == whole_amount(1200));
  CHECK(less.difference_ppm == -16'393);  // -20 / 1220
  CHECK(measurable_volume(whole_amount(1250), 50).value().difference_ppm == 0);
}

TEST_CASE("half a step goes up, just below half a step goes down", "[dosing]") {
  CHECK(measurable_volume(whole_amount(125), 50).value().rounded == whole_amount(150));
  CHECK(measurable_volume(amount(124'999, 1000), 50).value().rounded == whole_amount(100));
  CHECK(measurable_volume(whole_amount(25), 50).value().rounded == whole_amount(50));
  CHECK(measurable_volume(whole_amount(25), 50).value().difference_ppm == 1'000'000);
  CHECK(measurable_tablets(amount(1, 8), TabletParts::kQuarters).value().rounded == amount(1, 4));
  CHECK(measurable_tablets(amount(3, 4), TabletParts::kHalves).value().rounded == whole_amount(1));
  CHECK(measurable_tablets(amount(3, 2), TabletParts::kWhole).value().rounded == whole_amount(2));
}

TEST_CASE("an amount that would round to nothing is refused", "[dosing]") {
  CHECK_THAT(why_not(measurable_volume(amount(24'999, 1000), 50)), Contains("nothing is no dose"));
  CHECK_THAT(why_not(measurable_tablets(amount(124, 1000), TabletParts::kQuarters)), Contains("ask the vet"));
  CHECK_THAT(why_not(measurable_tablets(amount(49, 100), TabletParts::kWhole)), Contains("ask the vet"));
  CHECK_THAT(why_not(measurable_volume(amount(0, 1), 50)), Contains("nothing to measure"));
}

TEST_CASE("a part of a tablet must be one that the form allows", "[dosing]") {
  CHECK(check_tablets(amount(3, 1), TabletParts::kWhole));
  CHECK(check_tablets(amount(3, 2), TabletParts::kHalves));
  CHECK(check_tablets(amount(3, 4), TabletParts::kQuarters));
  CHECK(check_tablets(amount(1, 2), TabletParts::kQuarters));
  CHECK_THAT(why_not(check_tablets(amount(1, 2), TabletParts::kWhole)), Contains("may not be parted"));
  CHECK_THAT(why_not(check_tablets(amount(3, 4), TabletParts::kHalves)),
             Contains("may be halved and no more"));
  CHECK_THAT(why_not(check_tablets(amount(2, 3), TabletParts::kQuarters)),
             Contains("halves and quarters only"));
  CHECK_THAT(why_not(check_tablets(amount(1, 8), TabletParts::kQuarters)),
             Contains("halves and quarters only"));
  CHECK_FALSE(check_tablets(amount(0, 1), TabletParts::kQuarters));
}

TEST_CASE("a strength is a quotient, as labels are", "[dosing]") {
  CHECK(volume_of_dose_ul(whole_amount(45'000), {125'000, 3000}).value() == whole_amount(1080));
  CHECK(dose_in_volume_ug(whole_amount(1080), {125'000, 3000}).value() == whole_amount(45'000));
  CHECK(volume_of_units_ul(whole_amount(500), {40, 1000}).value() == whole_amount(12'500));
}

TEST_CASE("from dose to volume and back nothing is lost", "[dosing]") {
  Random random = test_random("dose there and back");
  for (int i = 0; i < 3000; ++i) {
    const std::uint64_t per_kg_ug = 1 + random.below(200'000);
    const std::uint64_t mass_mg = 1 + random.below(3'000'000'000);
    const Strength strength{1 + random.below(1'000'000), 1 + random.below(100'000)};
    CAPTURE(per_kg_ug, mass_mg, strength.mass_ug, strength.volume_ul);
    const ExactAmount dose_ug = dose_by_body_mass_ug(per_kg_ug, mass_mg).value();
    const ExactAmount volume_ul = volume_of_dose_ul(dose_ug, strength).value();
    REQUIRE(dose_in_volume_ug(volume_ul, strength).value() == dose_ug);
    const ExactAmount tablets = tablets_of_dose(dose_ug, strength.mass_ug).value();
    REQUIRE(dose_in_tablets_ug(tablets, strength.mass_ug).value() == dose_ug);
  }
}

TEST_CASE("what can be measured is a whole number of steps, and no nearer one exists", "[dosing]") {
  Random random = test_random("measurable");
  int refused = 0;
  for (int i = 0; i < 3000; ++i) {
    const std::int64_t divisor = static_cast<std::int64_t>(1 + random.below(1000));
    const ExactAmount exact = amount(static_cast<std::int64_t>(1 + random.below(1'000'000)), divisor);
    const std::uint64_t step = 1 + random.below(1000);
    const Int128 wide_step = static_cast<Int128>(step);
    const auto measured = measurable_volume(exact, step);
    // Twice the exact amount in parts of its divisor; below one step it is less than half of one.
    if (!measured) {
      ++refused;
      REQUIRE(2 * exact.numerator < wide_step * exact.divisor);
      continue;
    }
    REQUIRE(measured->rounded == whole_amount(measured->steps * step));
    const Int128 off = static_cast<Int128>(measured->steps) * wide_step * exact.divisor - exact.numerator;
    REQUIRE(2 * off <= wide_step * exact.divisor);
    REQUIRE(-2 * off < wide_step * exact.divisor);
    // The difference has the sign of what is off, and its size within half a millionth.
    const Int128 error = Int128(measured->difference_ppm) * exact.numerator - off * 1'000'000;
    REQUIRE(2 * error <= exact.numerator);
    REQUIRE(-2 * error <= exact.numerator);
  }
  CHECK(refused > 0);
  CHECK(refused < 3000);
}
