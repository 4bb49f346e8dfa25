// How a body changed from one weighing to the next.
//
// Days are husbandry days: calendar days at the facility, so a night in which the clocks change is one day
// like any.
#pragma once

#include <cstdint>
#include <optional>

#include "analytics/intake.h"

namespace wrackline {

// 100 * (last - first) / first. Absent when first is not above 0.
std::optional<double> percent_change(double first, double last);

// Specific growth rate, percent a day: 100 * (ln last - ln first) / days. Absent unless both masses and days
// are above 0. It is the rate of steady exponential growth; over a long span it says little about any one
// week.
std::optional<double> specific_growth_rate(double first, double last, std::int64_t days);

// Absolute growth rate, mass a day: (last - first) / days. Absent unless days is above 0.
std::optional<double> absolute_growth_rate(double first, double last, std::int64_t days);

// The same as whole numbers to be shown.
struct Growth {
  std::int64_t days = 0;
  std::optional<std::int32_t> change_ppm;       // -50000 = lost 5 %.
  std::optional<std::int64_t> sgr_ppb_per_day;  // -3663810 = -0.366381 % a day.
  std::optional<std::int64_t> change_mg_per_day;
};

// Absent when `last` is not of a later day, or either mass is 0, which is no mass.
std::optional<Growth> growth_between(const BodyMass& first, const BodyMass& last);

}  // namespace wrackline
