// Goal: an animal that does not eat is told of after 24 hours and not before, and never for what nobody weighed.
// Method: meals around the limit, to the millisecond. The limit is that of 9 CFR 3.105: inappetence of over 24 hours
// is to be told to the vet at once.
#include "analytics/attention.h"

#include <catch2/catch.hpp>

using namespace wrackline;

namespace {

constexpr WallMs kMin = 60'000, kHour = 60 * kMin, kT = 1'000 * kHour;

IntakePortion portion(std::optional<std::uint64_t> offered_mg, std::optional<std::uint64_t> left_mg,
                      std::optional<std::uint32_t> soak_ppm = std::nullopt) {
  IntakePortion out;
  out.offered_mg = offered_mg;
  out.left_mg = left_mg;
  out.soak_ppm = soak_ppm;
  return out;
}

}  // namespace

TEST_CASE("what was eaten of a meal is something, nothing or not known", "[analytics]") {
  CHECK(eaten_of({portion(500, 499)}) == Eaten::kSomething);
  CHECK(eaten_of({portion(500, 500)}) == Eaten::kNothing);
  CHECK(eaten_of({portion(500, 520)}) == Eaten::kNothing);
  CHECK(eaten_of({portion(500, {})}) == Eaten::kNotKnown);
  CHECK(eaten_of({portion({}, 500)}) == Eaten::kNotKnown);
  CHECK(eaten_of({}) == Eaten::kNotKnown);
  CHECK(eaten_of({portion(0, 0)}) == Eaten::kNotKnown);  // Nothing was offered.
  CHECK(eaten_of({portion(500, 500), portion(300, {})}) == Eaten::kNotKnown);
  CHECK(eaten_of({portion(300, {}), portion(500, 400)}) == Eaten::kSomething);
}

// A control of 100 g that became 112 g: 560 g that came back were 500 g of fish. Common practice, no source.
TEST_CASE("water that a leftover took up is not food that was left", "[analytics]") {
  CHECK(eaten_of({portion(500'000, 560'000, 1'120'000)}) == Eaten::kNothing);
  CHECK(eaten_of({portion(500'000, 550'000, 1'120'000)}) == Eaten::kSomething);
  CHECK(is_left_above_offered(portion(500'000, 550'000)));
  CHECK_FALSE(is_left_above_offered(portion(500'000, 550'000, 1'120'000)));
  CHECK_FALSE(is_left_above_offered(portion(500'000, 560'000, 1'120'000)));
  CHECK(is_left_above_offered(portion(500'000, 560'001, 1'120'000)));
  CHECK_FALSE(is_left_above_offered(portion({}, 500'000)));
}

TEST_CASE("nothing eaten is told of when it is over 24 hours, and not at 24 hours", "[analytics]") {
  const std::vector<FedMeal> meals = {{kT, Eaten::kSomething}, {kT + 8 * kHour, Eaten::kNothing}};
  CHECK_FALSE(not_eating(meals, kT + 24 * kHour - kMin));
  CHECK_FALSE(not_eating(meals, kT + 24 * kHour));
  const auto told = not_eating(meals, kT + 24 * kHour + kMin);
  REQUIRE(told);
  CHECK(told->since_ms == kT);
  CHECK(told->last_meal == 1);
}

TEST_CASE("an animal that was offered nothing since it ate is not told of as not eating", "[analytics]") {
  CHECK_FALSE(not_eating({{kT, Eaten::kSomething}}, kT + 72 * kHour));
  CHECK_FALSE(not_eating({}, kT));
}

TEST_CASE("a meal of which nobody knows what was eaten may have been eaten", "[analytics]") {
  const std::vector<FedMeal> meals = {
      {kT, Eaten::kNothing}, {kT + 20 * kHour, Eaten::kNotKnown}, {kT + 30 * kHour, Eaten::kNothing}};
  CHECK_FALSE(not_eating(meals, kT + 44 * kHour));
  const auto told = not_eating(meals, kT + 44 * kHour + 1);
  REQUIRE(told);
  CHECK(told->since_ms == kT + 20 * kHour);
  CHECK(told->last_meal == 2);
}

TEST_CASE("an animal never seen to eat is counted from the first meal it refused", "[analytics]") {
  const std::vector<FedMeal> meals = {{kT, Eaten::kNothing}, {kT + 12 * kHour, Eaten::kNothing}};
  CHECK_FALSE(not_eating(meals, kT + 24 * kHour));
  CHECK(not_eating(meals, kT + 25 * kHour)->since_ms == kT);
}

TEST_CASE("meals after the moment that is asked about are not looked at", "[analytics]") {
  const std::vector<FedMeal> meals = {
      {kT, Eaten::kSomething}, {kT + 8 * kHour, Eaten::kNothing}, {kT + 30 * kHour, Eaten::kSomething}};
  CHECK(not_eating(meals, kT + 29 * kHour));
  CHECK_FALSE(not_eating(meals, kT + 30 * kHour));
}

TEST_CASE("no meal for over 24 hours is told of when one was planned in them", "[analytics]") {
  const std::vector<WallMs> daily = {kT, kT + 24 * kHour, kT + 48 * kHour};
  CHECK_FALSE(not_fed(kT, daily, kT + 24 * kHour));
  CHECK(not_fed(kT, daily, kT + 24 * kHour + 1) == kT);
  CHECK_FALSE(not_fed(kT, {kT, kT + 72 * kHour}, kT + 71 * kHour));  // Nothing was planned in between.
  CHECK(not_fed(kT, {kT, kT + 72 * kHour}, kT + 72 * kHour) == kT);
  CHECK_FALSE(not_fed(kT + 40 * kHour, daily, kT + 41 * kHour));
  CHECK_FALSE(not_fed(kT, {}, kT + 100 * kHour));
}

TEST_CASE("an animal without any meal is counted from the first that was planned", "[analytics]") {
  CHECK_FALSE(not_fed({}, {kT, kT + 12 * kHour}, kT + 24 * kHour));
  CHECK(not_fed({}, {kT, kT + 12 * kHour}, kT + 24 * kHour + 1) == kT);
  CHECK_FALSE(not_fed({}, {kT}, kT - 1));
}
