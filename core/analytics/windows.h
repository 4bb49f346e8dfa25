// Daily figures over windows: the last days, the days of the week, the days on plan.
//
// Whole-numbered and exact: sums are wider than any sum of figures, and each answer is rounded once, halves
// away from zero. A gap counts for nothing: not as zero, and not as a day. How many days did count is part of
// every answer, since a mean of two days out of 28 is not a mean of 28.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "analytics/series.h"
#include "base/ids.h"

namespace wrackline {

struct WindowMean {
  std::optional<std::int64_t> mean;  // Absent when no day counted.
  std::uint32_t days_counted = 0;
};

// For each day, over it and the days before it, `window_days` of them in all (7 and 28 are usual). Days
// before the series are gaps.
std::vector<WindowMean> trailing_means(const WholeSeries& days, std::uint32_t window_days);

struct WeekdayFigures {
  std::optional<std::int64_t> mean;    // Absent when no day counted.
  std::optional<std::int64_t> median;  // Where their number is even, the mean of the middle two.
  std::uint32_t days_counted = 0;
};

// Monday first.
using WeekdayPattern = std::array<WeekdayFigures, 7>;

// `days[0]` is `first_day`.
WeekdayPattern weekday_pattern(Day first_day, const WholeSeries& days);

struct PlanAdherence {
  std::uint32_t days_compared = 0;  // Both recorded and planned.
  std::uint32_t days_within = 0;
  std::uint32_t days_under = 0;
  std::uint32_t days_over = 0;
  std::optional<std::int32_t> within_ppm;  // The share of the days compared; absent when there is none.
};

// Within: no further from the plan than tolerance_ppm of it; on the edge is within. A plan of 0 (a fasting
// day) is kept by exactly 0. A negative plan is none. Days beyond the end of the shorter series are gaps.
PlanAdherence plan_adherence(const WholeSeries& days, const WholeSeries& planned,
                             std::uint32_t tolerance_ppm);

}  // namespace wrackline
