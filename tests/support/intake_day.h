// One day of an animal's intake, for tests of analytics/intake.h.
//
// Food compositions are USDA National Nutrient Database, release SR-28 (public domain): energy and water per
// 100 g raw of Atlantic herring 15039 (158 kcal, 72.05 g), mixed squid 15175 (92, 78.55) and romaine 11251
// (17, 94.61).
#pragma once

#include <catch2/catch.hpp>
#include <optional>
#include <utility>
#include <vector>

#include "analytics/intake.h"

namespace wrackline {

inline constexpr std::size_t kHerring = 0, kSquid = 1, kRomaine = 2, kUnknown = 3;
inline constexpr Day kToday = 20000;  // 2024-10-04, a Friday.

inline IntakePortion portion(std::size_t food, std::optional<std::uint64_t> offered_mg,
                             std::optional<std::uint64_t> left_mg,
                             std::optional<std::uint32_t> soak_ppm = std::nullopt) {
  return {food, offered_mg, left_mg, soak_ppm};
}

inline IntakeInput input_of(std::vector<IntakeMeal> meals) {
  IntakeInput input;
  input.first_day = kToday;
  input.last_day = kToday;
  input.foods = {{1580, 720500}, {920, 785500}, {170, 946100}, {}};
  input.meals = std::move(meals);
  return input;
}

inline IntakeDayFigures figures_of(const IntakeInput& input) {
  const Result<IntakeFigures> figures = compute_intake(input);
  REQUIRE(figures);
  REQUIRE(figures->days.size() == 1);
  return figures->days[0];
}

inline IntakeDayFigures figures_of_portions(std::vector<IntakePortion> portions) {
  return figures_of(input_of({{kToday, std::move(portions)}}));
}

}  // namespace wrackline
