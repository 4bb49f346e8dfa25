// dosing/amount_text.h: amounts that cannot be misread.
#include "dosing/amount_text.h"

#include <catch2/catch.hpp>

#include "dosing/risky_notation.h"
#include "support/random.h"

using namespace wrackline;

namespace {

ExactAmount amount(std::int64_t numerator, std::int64_t divisor = 1) {
  return exact_amount(numerator, divisor).value();
}

}  // namespace

TEST_CASE("a mass has no zero at its end and one before the point", "[dosing]") {
  CHECK(dose_mass_text(amount(5000)) == "5 mg");
  CHECK(dose_mass_text(amount(500)) == "0.5 mg");
  CHECK(dose_mass_text(amount(56'750)) == "56.75 mg");
  CHECK(dose_mass_text(amount(100)) == "0.1 mg");
  CHECK(dose_mass_text(amount(50)) == "50 micrograms");
  CHECK(dose_mass_text(amount(1)) == "1 microgram");
  CHECK(dose_mass_text(amount(1, 2)) == "0.5 micrograms");
  CHECK(dose_mass_text(amount(1'200'000)) == "1.2 g");
  CHECK(dose_mass_text(amount(1'000'000)) == "1 g");
  CHECK(dose_mass_text(amount(0)) == "0 mg");
  CHECK(dose_mass_text(amount(2'494'758, 10)) == "249.4758 mg");
}

TEST_CASE("a volume and units are written out", "[dosing]") {
  CHECK(dose_volume_text(amount(1240)) == "1.24 mL");
  CHECK(dose_volume_text(amount(50)) == "0.05 mL");
  CHECK(dose_volume_text(amount(2000)) == "2 mL");
  CHECK(dose_units_text(amount(200)) == "200 units");
  CHECK(dose_units_text(amount(1)) == "1 unit");
  CHECK(dose_units_text(amount(5, 2)) == "2.5 units");
}

TEST_CASE("an amount without an end says that it was rounded", "[dosing]") {
  CHECK(dose_volume_text(amount(4000, 3)) == "about 1.333333 mL");
  CHECK(dose_volume_text(amount(2000, 3)) == "about 0.666667 mL");
  CHECK(dose_volume_text(amount(2'999'999'999, 3'000'000)) == "about 1 mL");
  CHECK(dose_volume_text(amount(1, 1'000'000)) == "less than 0.000001 mL");
}

TEST_CASE("what is no amount is not printed as one", "[dosing]") {
  for (const ExactAmount& none : std::vector<ExactAmount>{
           {1, 0}, {-1, 1}, {1, kExactNumeratorMax * 1'000'000}, {kExactNumeratorMax * 10, 1}}) {
    CHECK(dose_mass_text(none) == "no amount");
    CHECK(dose_volume_text(none) == "no amount");
    CHECK(dose_units_text(none) == "no amount");
    CHECK(tablets_text(none, "tablet") == "no amount");
  }
  CHECK(dose_mass_text({kExactNumeratorMax, 1}) == "1000000000000000000000000 g");
}

TEST_CASE("parts of a tablet are words", "[dosing]") {
  CHECK(tablets_text(amount(1, 4), "tablet") == "a quarter of a tablet");
  CHECK(tablets_text(amount(1, 2), "tablet") == "half a tablet");
  CHECK(tablets_text(amount(3, 4), "tablet") == "three quarters of a tablet");
  CHECK(tablets_text(amount(1), "tablet") == "1 tablet");
  CHECK(tablets_text(amount(2), "capsule") == "2 capsules");
  CHECK(tablets_text(amount(5, 4), "tablet") == "1 and a quarter tablets");
  CHECK(tablets_text(amount(3, 2), "tablet") == "1 and a half tablets");
  CHECK(tablets_text(amount(11, 4), "tablet") == "2 and three quarter tablets");
  CHECK(tablets_text(amount(4, 3), "tablet") == "about 1.333333 tablets");
  CHECK(tablets_text(amount(1, 8), "tablet") == "0.125 tablets");
}

TEST_CASE("the difference made by rounding has a sign", "[dosing]") {
  CHECK(difference_text(200'000) == "+20 %");
  CHECK(difference_text(-8065) == "-0.81 %");
  CHECK(difference_text(0) == "0 %");
  CHECK(difference_text(49) == "less than 0.01 %");
  CHECK(difference_text(-49) == "less than 0.01 %");
  CHECK(difference_text(std::numeric_limits<std::int32_t>::min()) == "-214748.36 %");
}

TEST_CASE("nothing that is printed is on the lists of what is misread", "[dosing]") {
  Random random = test_random("printed amounts");
  for (int i = 0; i < 3000; ++i) {
    const ExactAmount any =
        amount(static_cast<std::int64_t>(1 + random.below(1ull << (1 + random.below(40)))),
               static_cast<std::int64_t>(1 + random.below(2000)));
    for (const std::string& text :
         {dose_mass_text(any), dose_volume_text(any), dose_units_text(any), tablets_text(any, "tablet")}) {
      CAPTURE(text);
      REQUIRE(find_risky_notation(text).empty());
    }
  }
}
