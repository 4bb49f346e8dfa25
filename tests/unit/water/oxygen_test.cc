// Oxygen: range, units of pressure, and readings that are none. Its values are in tests/reference.
#include "water/oxygen.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

namespace {

bool within(std::int32_t mdegc, std::int32_t salinity_millionths, std::uint32_t pressure_pa) {
  const Result<OxygenSaturation> saturation = oxygen_saturation(mdegc, salinity_millionths, pressure_pa);
  REQUIRE(saturation);
  return saturation->within_validity;
}

}  // namespace

TEST_CASE("oxygen saturation is marked outside the range of its formula", "[water]") {
  CHECK(within(0, 0, kStandardAtmospherePa));
  CHECK(within(40'000, 40'000'000, kStandardAtmospherePa));
  CHECK_FALSE(within(-1, 0, kStandardAtmospherePa));
  CHECK_FALSE(within(40'001, 0, kStandardAtmospherePa));
  CHECK_FALSE(within(20'000, 40'000'001, kStandardAtmospherePa));
  CHECK(within(20'000, 0, 50'663));  // 0.5 atm
  CHECK_FALSE(within(20'000, 0, 50'662));
  CHECK(within(20'000, 0, 111'457));  // 1.1 atm
  CHECK_FALSE(within(20'000, 0, 111'458));
}

TEST_CASE("a pressure in hPa or mmHg is refused, with the figure it ought to be", "[water]") {
  for (std::uint32_t pressure : {1'013u, 760u, 0u, 29'999u, 200'001u}) {
    const Result<OxygenSaturation> saturation = oxygen_saturation(20'000, 0, pressure);
    CAPTURE(pressure);
    CHECK(saturation.error().code == ErrorCode::kInvalid);
    CHECK(saturation.error().message.find("101,325") != std::string::npos);
  }
}

TEST_CASE("bad temperature and salinity are refused", "[water]") {
  CHECK_FALSE(oxygen_saturation(77'000, 0, kStandardAtmospherePa));
  CHECK_FALSE(oxygen_saturation(20'000, -1, kStandardAtmospherePa));
  CHECK_FALSE(oxygen_saturation(20'000, 100'000'001, kStandardAtmospherePa));
}

TEST_CASE("warmer, saltier and thinner air each hold less oxygen", "[water]") {
  Random random = test_random("oxygen falls");
  for (int i = 0; i < 500; ++i) {
    const auto mdegc = static_cast<std::int32_t>(random.below(39'000));
    const auto salinity = static_cast<std::int32_t>(random.below(39'000'000));
    const auto pressure = static_cast<std::uint32_t>(60'000 + random.below(50'000));
    const auto figure = [](std::int32_t t, std::int32_t s, std::uint32_t p) {
      const Result<OxygenSaturation> saturation = oxygen_saturation(t, s, p);
      REQUIRE(saturation);
      return saturation->saturation_ng_per_l;
    };
    const std::int64_t here = figure(mdegc, salinity, pressure);
    CAPTURE(mdegc, salinity, pressure);
    REQUIRE(figure(mdegc + 1'000, salinity, pressure) < here);
    REQUIRE(figure(mdegc, salinity + 1'000'000, pressure) < here);
    REQUIRE(figure(mdegc, salinity, pressure - 1'000) < here);
  }
}

TEST_CASE("a reading is told as a share of saturation, above it too", "[water]") {
  const OxygenSaturation saturation = {8'000'000, true};
  CHECK(oxygen_saturated_ppm(6'000'000, saturation) == 750'000);
  CHECK(oxygen_saturated_ppm(10'000'000, saturation) == 1'250'000);
  CHECK(oxygen_saturated_ppm(0, saturation) == 0);
  CHECK_FALSE(oxygen_saturated_ppm(-1, saturation));
  CHECK_FALSE(oxygen_saturated_ppm(6'000'000, {0, false}));
}
