// dosing/drops.h: drops are counted by the product's own factor, and never without it.
#include "dosing/drops.h"

#include <catch2/catch.hpp>

using namespace wrackline;
using Catch::Contains;

TEST_CASE("a volume is as many drops as the product's factor says", "[dosing]") {
  CHECK(whole_drops(drops_of_volume(1000, 20).value()).value() == 20);
  CHECK(whole_drops(drops_of_volume(1000, 12).value()).value() == 12);
  CHECK(whole_drops(drops_of_volume(125, 20).value()).value() == 3);  // 2.5
}

TEST_CASE("a drip lets its volume in during its minutes", "[dosing]") {
  CHECK(drops_per_minute(60'000, 60, 20).value() == whole_amount(20));
  CHECK(drops_per_minute(1000, 3, 1).value() == exact_amount(1, 3).value());
}

TEST_CASE("without the product's factor nothing is counted", "[dosing]") {
  const auto none = drops_of_volume(1000, 0);
  REQUIRE_FALSE(none);
  CHECK_THAT(none.error().message, Contains("on its label"));
  CHECK_FALSE(drops_of_volume(1000, kDropsPerMlMax + 1));
  CHECK_FALSE(drops_of_volume(0, 20));
  CHECK_FALSE(drops_of_volume(std::numeric_limits<std::uint64_t>::max(), 20));
  CHECK_FALSE(drops_per_minute(1000, 0, 20));
  CHECK_FALSE(drops_per_minute(1000, 10, 0));
}

TEST_CASE("less than half a drop is refused, not given as none", "[dosing]") {
  const auto none = whole_drops(drops_of_volume(24, 20).value());
  REQUIRE_FALSE(none);
  CHECK_THAT(none.error().message, Contains("half a drop"));
  CHECK(whole_drops(drops_of_volume(25, 20).value()).value() == 1);
  CHECK_FALSE(whole_drops({1, 0}));
  CHECK_FALSE(whole_drops({kExactNumeratorMax, 1}));
}
