// Un-ionised ammonia and nitrogen: what stands in the result, ranges, bad input. Values are in
// tests/reference.
#include "water/ammonia.h"

#include <catch2/catch.hpp>
#include <string>

#include "support/random.h"
#include "water/nitrogen.h"

using namespace wrackline;

namespace {

constexpr std::int32_t kSea = 34'000'000;

AmmoniaReading reading(std::int32_t mdegc, std::int32_t ph_thousandths) {
  return {mdegc, ph_thousandths, PhScale::kNbs, 1'000'000};
}

}  // namespace

TEST_CASE("the result names its formula and its pH scale", "[water]") {
  const Result<UnionisedAmmonia> fresh = unionised_ammonia_fresh(reading(20'000, 8'000));
  const Result<UnionisedAmmonia> sea = unionised_ammonia_sea(reading(20'000, 8'000), kSea);
  REQUIRE(fresh);
  REQUIRE(sea);
  CHECK(std::string(fresh->formula.name).find("Emerson") == 0);
  CHECK(std::string(sea->formula.name).find("Bower & Bidwell") == 0);
  CHECK(fresh->ph_scale == PhScale::kNbs);
  CHECK(sea->ph_scale == PhScale::kNbs);
  // The same water taken for fresh would be told more than a quarter too high.
  CHECK(fresh->fraction_ppm > sea->fraction_ppm);
}

TEST_CASE("a pH on another scale, or on none, is refused", "[water]") {
  for (PhScale scale : {PhScale::kNotStated, PhScale::kTotal, PhScale::kSeaWater, PhScale::kFree}) {
    AmmoniaReading other = reading(20'000, 8'000);
    other.ph_scale = scale;
    CHECK(unionised_ammonia_fresh(other).error().code == ErrorCode::kInvalid);
    CHECK(unionised_ammonia_sea(other, kSea).error().code == ErrorCode::kInvalid);
  }
}

TEST_CASE("a total that was not measured leaves the fraction alone; one of 0 is 0", "[water]") {
  AmmoniaReading unmeasured = reading(20'000, 8'000);
  unmeasured.total_nitrogen_ng_per_l.reset();
  const Result<UnionisedAmmonia> ammonia = unionised_ammonia_fresh(unmeasured);
  REQUIRE(ammonia);
  CHECK(ammonia->fraction_ppm > 0);
  CHECK_FALSE(ammonia->nh3_nitrogen_ng_per_l);
  AmmoniaReading none = reading(20'000, 8'000);
  none.total_nitrogen_ng_per_l = 0;
  const Result<UnionisedAmmonia> zero = unionised_ammonia_fresh(none);
  REQUIRE(zero);
  CHECK(zero->nh3_nitrogen_ng_per_l == 0);
  none.total_nitrogen_ng_per_l = -1;
  CHECK_FALSE(unionised_ammonia_fresh(none));
}

TEST_CASE("un-ionised ammonia is marked outside the range of its formula", "[water]") {
  const auto fresh = [](std::int32_t mdegc, std::int32_t ph) {
    const Result<UnionisedAmmonia> ammonia = unionised_ammonia_fresh(reading(mdegc, ph));
    REQUIRE(ammonia);
    return ammonia->within_validity;
  };
  CHECK(fresh(0, 6'000));
  CHECK(fresh(50'000, 10'000));
  CHECK_FALSE(fresh(-1, 8'000));
  CHECK_FALSE(fresh(20'000, 5'999));
  CHECK_FALSE(fresh(20'000, 10'001));
  const auto sea = [](std::int32_t mdegc, std::int32_t ph, std::int32_t salinity) {
    const Result<UnionisedAmmonia> ammonia = unionised_ammonia_sea(reading(mdegc, ph), salinity);
    REQUIRE(ammonia);
    return ammonia->within_validity;
  };
  CHECK(sea(10'000, 7'500, 32'000'000));
  CHECK(sea(25'000, 8'500, 36'000'000));
  CHECK_FALSE(sea(9'999, 8'000, kSea));
  CHECK_FALSE(sea(25'001, 8'000, kSea));
  CHECK_FALSE(sea(20'000, 7'499, kSea));
  CHECK_FALSE(sea(20'000, 8'501, kSea));
  CHECK_FALSE(sea(20'000, 8'000, 31'999'999));
  CHECK_FALSE(sea(20'000, 8'000, 36'000'001));
}

TEST_CASE("readings that cannot be are refused", "[water]") {
  CHECK_FALSE(unionised_ammonia_fresh(reading(78'000, 8'000)));
  CHECK_FALSE(unionised_ammonia_fresh(reading(20'000, -1)));
  CHECK_FALSE(unionised_ammonia_fresh(reading(20'000, 14'001)));
  CHECK_FALSE(unionised_ammonia_sea(reading(20'000, 8'000), -1));
  CHECK_FALSE(unionised_ammonia_sea(reading(20'000, 8'000), 100'000'001));
  CHECK_FALSE(unionised_ammonia_sea(reading(-5'001, 8'000), kSea));
}

TEST_CASE("the fraction is a share, and grows with pH and temperature, across the columns too", "[water]") {
  Random random = test_random("ammonia grows");
  for (int i = 0; i < 500; ++i) {
    const auto mdegc = static_cast<std::int32_t>(random.below(34'000));
    const auto ph = static_cast<std::int32_t>(7'000 + random.below(2'000));
    const auto figures = [](std::int32_t t, std::int32_t p) {
      const Result<UnionisedAmmonia> fresh = unionised_ammonia_fresh(reading(t, p));
      const Result<UnionisedAmmonia> sea = unionised_ammonia_sea(reading(t, p), kSea);
      REQUIRE(fresh);
      REQUIRE(sea);
      return std::pair(fresh->fraction_ppm, sea->fraction_ppm);
    };
    CAPTURE(mdegc, ph);
    const auto here = figures(mdegc, ph);
    const auto warmer = figures(mdegc + 1'000, ph);
    const auto higher = figures(mdegc, ph + 100);
    REQUIRE(here.first > 0);
    REQUIRE(higher.first < 1'000'000);
    REQUIRE(warmer.first > here.first);
    REQUIRE(warmer.second > here.second);
    REQUIRE(higher.first > here.first);
    REQUIRE(higher.second > here.second);
  }
}

TEST_CASE("nitrogen comes back from its compounds within a unit, and nothing is below 0", "[water]") {
  Random random = test_random("nitrogen");
  for (NitrogenForm form : {NitrogenForm::kAmmonia, NitrogenForm::kNitrite, NitrogenForm::kNitrate}) {
    for (int i = 0; i < 200; ++i) {
      const auto nitrogen = static_cast<std::int64_t>(random.below(1'000'000'000'000));
      const auto itself = as_itself_ng_per_l(form, nitrogen);
      REQUIRE(itself);
      REQUIRE(*itself >= nitrogen);
      REQUIRE(as_nitrogen_ng_per_l(form, *itself) == nitrogen);
    }
    CHECK_FALSE(as_itself_ng_per_l(form, -1));
    CHECK_FALSE(as_nitrogen_ng_per_l(form, -1));
    CHECK_FALSE(as_itself_ng_per_l(form, std::numeric_limits<std::int64_t>::max()));
  }
  CHECK_FALSE(as_itself_ng_per_l(static_cast<NitrogenForm>(9), 1));
}
