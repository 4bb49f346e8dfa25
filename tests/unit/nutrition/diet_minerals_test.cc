// Minerals of a whole diet: what is missing, and sums that agree with each other. Values are in
// tests/reference.
#include "nutrition/diet_minerals.h"

#include <catch2/catch.hpp>
#include <limits>

#include "support/random.h"

using namespace wrackline;

TEST_CASE("a food without a figure leaves that sum and the ratio unknown", "[nutrition]") {
  const DietMinerals minerals = diet_minerals({{100'000, 570, 2'360}, {1'000, std::nullopt, 300}});
  CHECK_FALSE(minerals.calcium_ug);
  CHECK(minerals.phosphorus_ug == 236'300u);
  CHECK_FALSE(minerals.calcium_per_phosphorus_ppm);
  // Even if none of it was fed.
  CHECK_FALSE(diet_minerals({{100'000, 570, 2'360}, {0, std::nullopt, 300}}).calcium_ug);
  // More than the whole food is no figure.
  CHECK_FALSE(diet_minerals({{100'000, 1'000'001, 2'360}}).calcium_ug);
}

TEST_CASE("a part that was not weighed leaves everything unknown", "[nutrition]") {
  const DietMinerals minerals = diet_minerals({{100'000, 570, 2'360}, {std::nullopt, 330, 300}});
  CHECK_FALSE(minerals.calcium_ug);
  CHECK_FALSE(minerals.phosphorus_ug);
}

TEST_CASE("no diet has no minerals, and no phosphorus has no ratio", "[nutrition]") {
  CHECK_FALSE(diet_minerals({}).calcium_ug);
  const DietMinerals shell = diet_minerals({{100'000, 380'000, 0}});
  CHECK(shell.calcium_ug == 38'000'000u);
  CHECK(shell.phosphorus_ug == 0u);
  CHECK_FALSE(shell.calcium_per_phosphorus_ppm);
}

TEST_CASE("sums too large to say are none", "[nutrition]") {
  constexpr std::uint64_t kMax = std::numeric_limits<std::uint64_t>::max();
  const DietMinerals minerals = diet_minerals({{kMax, 1'000'000, 1}, {kMax, 1'000'000, 1}});
  CHECK_FALSE(minerals.calcium_ug);
  CHECK_FALSE(minerals.calcium_per_phosphorus_ppm);
}

TEST_CASE("the ratio of a diet lies between those of its foods", "[nutrition]") {
  Random random = test_random("minerals");
  for (int i = 0; i < 500; ++i) {
    std::vector<DietPart> parts;
    std::int32_t lowest = std::numeric_limits<std::int32_t>::max();
    std::int32_t highest = 0;
    for (std::uint64_t n = 1 + random.below(6); n > 0; --n) {
      const DietPart part = {1 + random.below(1'000'000), static_cast<std::uint32_t>(random.below(4'000)),
                             static_cast<std::uint32_t>(100 + random.below(4'000))};
      const std::int32_t own = *diet_minerals({part}).calcium_per_phosphorus_ppm;
      lowest = std::min(lowest, own);
      highest = std::max(highest, own);
      parts.push_back(part);
    }
    const std::int32_t whole = *diet_minerals(parts).calcium_per_phosphorus_ppm;
    REQUIRE(whole >= lowest);
    REQUIRE(whole <= highest);
  }
}
