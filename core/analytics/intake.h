// This file says what an animal, or a group fed as one, really ate: day by day, and on average over a span of days.
//
// Pure and whole-numbered: the same records give the same digits on every replica. The caller hands in what
// is in account (not struck, not folded) and maps the answer to its messages.
//
// A mass that nobody weighed is not known, and not known is never zero:
//   - a day without a meal is not recorded: it has no figures and counts for nothing;
//   - a portion counts as weighed when both its offered and its left mass are known; what was eaten is known
//   of
//     weighed portions only, and how many were not stands beside it;
//   - a figure is absent when any part of it is not known, or when it is too large for its type.
// Eaten may be negative, when more came back than was offered (a wet leftover, a slip): it is shown, since it
// tells that something is wrong with the weighing. Nothing is clamped.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

// The food as it is fed. An absent figure is not known.
struct IntakeFood {
  std::optional<std::uint32_t> energy_cal_per_g;  // cal, not kcal
  std::optional<std::uint32_t> water_ppm;         // Mass fraction; above 1,000,000 counts as not known.
};

struct IntakePortion {
  std::size_t food =
      0;  // Index into IntakeInput::foods; beyond its end = a food of which nothing is known here.
  std::optional<std::uint64_t> offered_mg;
  std::optional<std::uint64_t> left_mg;  // The leftover as weighed; 0 = nothing came back.
  std::optional<std::uint32_t>
      soak_ppm;  // Control's mass after per its mass before; absent or 0 = no correction.
};

struct IntakeMeal {
  Day day = 0;
  std::vector<IntakePortion> portions;
};

struct BodyMass {
  Day day = 0;
  std::uint64_t mass_mg = 0;  // The mass of all heads of a group together. 0 is no mass and is passed over.
};

struct IntakePlanLine {
  std::uint32_t weekdays = 0;  // Bits 0..6 = Monday..Sunday; 0 = every day.
  std::optional<std::uint64_t> mass_mg;
  std::optional<std::uint64_t> tolerance_mg = std::nullopt;
};

struct IntakePlan {
  Day first_day = 0;
  std::optional<Day> last_day;
  std::vector<IntakePlanLine> lines;
};

struct IntakeInput {
  Day first_day = 0;
  Day last_day = 0;  // Included.
  std::uint32_t head_count = 1;
  std::vector<IntakeFood> foods;
  // In any order, and from outside the span too. Where two masses are of one day, or two plans begin on one day, the one further
  // back in the list counts: hand them in by the time they were taken or written.
  std::vector<IntakeMeal> meals;
  std::vector<BodyMass> masses;
  std::vector<IntakePlan> plans;
};

struct IntakeDayFigures {
  Day day = 0;
  bool recorded = false;
  std::uint32_t meals = 0;
  std::uint32_t portions = 0;
  std::uint32_t portions_unweighed = 0;
  // Every meal of the day has a portion and every portion is weighed: eaten is all that was eaten.
  bool complete = false;
  std::optional<std::uint64_t> offered_mg;  // The sum over portions whose offered mass is known, weighed back or not.
  // The sum over weighed portions. The leftover is corrected as left * 1,000,000 / soak_ppm and rounded to
  // the milligram for each portion, so that the figures add up.
  std::optional<std::uint64_t> left_mg;
  std::optional<std::int64_t> eaten_mg;
  // The energy of the eaten mass; absent when any weighed portion's food lacks the figure, even if none of it
  // was eaten.
  std::optional<std::int64_t> energy_cal;
  std::optional<std::int64_t> dry_matter_mg;
  // The last mass taken on or before the day. How old it may be is for people to judge.
  std::optional<std::uint64_t> body_mass_mg;
  std::optional<std::uint32_t> body_mass_age_days;
  std::optional<std::int32_t> body_mass_ppm;  // Eaten, as fed, per body mass.
  // The mass that the plan in force asks for on this weekday; 0 when none of its lines is for this weekday,
  // absent when a line that is has no mass. The plan in force: see analytics/plan_in_force.h.
  std::optional<std::uint64_t> planned_mg;
  // The tolerances of all its lines together; absent when one of them states none.
  std::optional<std::uint64_t> planned_tolerance_mg;
  std::optional<std::int32_t> plan_ppm;  // Eaten per planned; absent when nothing was planned.
};

struct IntakeFigures {
  std::vector<IntakeDayFigures> days;  // Every day of the span, in order.
  std::uint32_t days_recorded = 0;
  std::uint32_t days_complete = 0;
  // Over complete days only; absent when there is none. Rounded to the nearest, halves away from zero. The
  // median of an even number of days is the mean of the middle two, rounded likewise.
  std::optional<std::int64_t> eaten_mean_mg;
  std::optional<std::int64_t> eaten_median_mg;
  // Over the same days; absent when one of them lacks it, since a mean over other days would not compare.
  std::optional<std::int64_t> energy_mean_cal;
  std::uint32_t head_count = 1;
  // The mass eaten in all weighed portions of the span, in the order of IntakeInput::foods.
  std::vector<std::optional<std::int64_t>> eaten_mg_by_food;
};

// The longest span one call computes, ten years: the answer has an entry for each day.
inline constexpr std::int64_t kIntakeDaysMax = 3660;

// Errors: kInvalid when the span ends before it begins or is longer than kIntakeDaysMax.
Result<IntakeFigures> compute_intake(const IntakeInput& input);

}  // namespace wrackline
