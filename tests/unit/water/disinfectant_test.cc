// Chlorine and bromine: names, readings that contradict each other, and the way back.
#include "water/disinfectant.h"

#include <catch2/catch.hpp>
#include <string>

#include "support/random.h"

using namespace wrackline;

TEST_CASE("in sea water the total is a residual oxidant, not chlorine", "[water]") {
  const Result<Oxidant> sea = oxidant_from_free_and_total(WaterKind::kSea, 100'000, 100'000);
  const Result<Oxidant> fresh = oxidant_from_free_and_combined(WaterKind::kFresh, 300'000, 500'000);
  REQUIRE(sea);
  REQUIRE(fresh);
  CHECK(std::string(sea->total_name) == "total residual oxidant as Cl2");
  CHECK(sea->combined_ng_per_l == 0);
  CHECK(std::string(fresh->total_name) == "total chlorine as Cl2");
  CHECK(fresh->total_ng_per_l == 800'000);
}

TEST_CASE("a total below the free is refused, not made nought", "[water]") {
  const Result<Oxidant> wrong = oxidant_from_free_and_total(WaterKind::kFresh, 300'000, 299'999);
  CHECK(wrong.error().code == ErrorCode::kInvalid);
  CHECK(wrong.error().message.find("test both again") != std::string::npos);
}

TEST_CASE("readings below 0 or too large to add are refused", "[water]") {
  constexpr std::int64_t kMax = std::numeric_limits<std::int64_t>::max();
  CHECK_FALSE(oxidant_from_free_and_total(WaterKind::kFresh, -1, 0));
  CHECK_FALSE(oxidant_from_free_and_total(WaterKind::kFresh, -2, -1));
  CHECK_FALSE(oxidant_from_free_and_combined(WaterKind::kFresh, 0, -1));
  CHECK_FALSE(oxidant_from_free_and_combined(WaterKind::kFresh, kMax, 1));
  CHECK_FALSE(bromine_from_chlorine_ng_per_l(-1));
  CHECK_FALSE(bromine_from_chlorine_ng_per_l(kMax));
  CHECK_FALSE(chlorine_from_bromine_ng_per_l(-1));
}

TEST_CASE("free and combined add to the total they came from; bromine turns back into its chlorine",
          "[water]") {
  Random random = test_random("oxidant");
  for (int i = 0; i < 500; ++i) {
    const auto free = static_cast<std::int64_t>(random.below(10'000'000));
    const auto total = free + static_cast<std::int64_t>(random.below(10'000'000));
    const Result<Oxidant> split = oxidant_from_free_and_total(WaterKind::kFresh, free, total);
    REQUIRE(split);
    const Result<Oxidant> again =
        oxidant_from_free_and_combined(WaterKind::kFresh, free, split->combined_ng_per_l);
    REQUIRE(again);
    REQUIRE(again->total_ng_per_l == total);
    REQUIRE(chlorine_from_bromine_ng_per_l(*bromine_from_chlorine_ng_per_l(total)) == total);
  }
}
