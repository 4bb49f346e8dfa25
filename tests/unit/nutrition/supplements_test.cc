// Supplements: who set them, of what substance, and bad rows. Values are in tests/reference.
#include "nutrition/supplements.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace wrackline;

namespace {

SupplementRow row() {
  return {"thiamine hydrochloride", SupplementUnit::kMicrogram, 25'000, 30'000, "the vet", "a manual"};
}

constexpr std::uint64_t kMax = std::numeric_limits<std::uint64_t>::max();

}  // namespace

TEST_CASE("the amount says its substance and unit, and is nought for no fish", "[nutrition]") {
  const Result<SupplementAmount> amount = supplement_for_fish(row(), 1'000);
  REQUIRE(amount);
  CHECK(amount->low == 25);
  CHECK(amount->high == 30);
  CHECK(amount->unit == SupplementUnit::kMicrogram);
  CHECK(amount->substance == "thiamine hydrochloride");
  CHECK(supplement_for_fish(row(), 0)->high == 0);
}

TEST_CASE("a row nobody set, of no substance or of no amount is refused", "[nutrition]") {
  const auto refused = [](void (*spoil)(SupplementRow&)) {
    SupplementRow spoilt = row();
    spoil(spoilt);
    return supplement_for_fish(spoilt, 1'000'000).error().code == ErrorCode::kInvalid;
  };
  CHECK(refused([](SupplementRow& r) { r.set_by.clear(); }));
  CHECK(refused([](SupplementRow& r) { r.substance.clear(); }));
  CHECK(refused([](SupplementRow& r) { r.low_per_kg = 0; }));
  CHECK(refused([](SupplementRow& r) { r.high_per_kg = 24'999; }));
  // The largest numbers the types hold: too much to say, and no overflow on the way.
  SupplementRow large = row();
  large.low_per_kg = std::numeric_limits<std::uint32_t>::max();
  large.high_per_kg.reset();
  CHECK_FALSE(supplement_for_fish(large, kMax));
  CHECK(supplement_for_fish(large, 1'000'000)->high == large.low_per_kg);
}

TEST_CASE("IU become a mass only with the strength of their own substance", "[nutrition]") {
  const IuStrength strength = {"RRR-alpha-tocopherol", 1'490, "a label"};
  CHECK(micrograms_from_milli_iu(1'490, "RRR-alpha-tocopherol", strength).value() == 1'000);
  CHECK_FALSE(micrograms_from_milli_iu(1'490, "all-rac-alpha-tocopheryl acetate", strength));
  CHECK_FALSE(micrograms_from_milli_iu(1'490, "", {"", 1'490, "a label"}));
  CHECK_FALSE(
      micrograms_from_milli_iu(1'490, "RRR-alpha-tocopherol", {"RRR-alpha-tocopherol", 0, "a label"}));
  CHECK_FALSE(micrograms_from_milli_iu(1'490, "RRR-alpha-tocopherol", {"RRR-alpha-tocopherol", 1'490, ""}));
  CHECK_FALSE(micrograms_from_milli_iu(kMax, "a", {"a", 1, "a label"}));
}
