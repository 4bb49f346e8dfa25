#include "analytics/windows.h"

#include <algorithm>

#include "analytics/quartile.h"
#include "base/iso_week.h"
#include "base/rounding.h"

namespace wrackline {

std::vector<WindowMean> trailing_means(const WholeSeries& days, std::uint32_t window_days) {
  std::vector<WindowMean> out(days.size());
  Int128 sum = 0;
  std::uint32_t counted = 0;
  for (std::size_t day = 0; day < days.size(); ++day) {
    if (days[day]) {
      sum += *days[day];
      ++counted;
    }
    if (day >= window_days && days[day - window_days]) {
      sum -= *days[day - window_days];
      --counted;
    }
    out[day].days_counted = counted;
    if (counted > 0) out[day].mean = fit<std::int64_t>(divide_rounded(sum, counted));
  }
  return out;
}

WeekdayPattern weekday_pattern(Day first_day, const WholeSeries& days) {
  std::array<std::vector<std::int64_t>, 7> by_weekday;
  std::size_t weekday = static_cast<std::size_t>(iso_weekday(first_day) - 1);
  for (const std::optional<std::int64_t>& figure : days) {
    if (figure) by_weekday[weekday].push_back(*figure);
    weekday = (weekday + 1) % 7;
  }
  WeekdayPattern out;
  for (std::size_t i = 0; i < 7; ++i) {
    std::vector<std::int64_t>& figures = by_weekday[i];
    if (figures.empty()) continue;
    Int128 sum = 0;
    for (std::int64_t figure : figures) sum += figure;
    std::sort(figures.begin(), figures.end());
    out[i].days_counted = static_cast<std::uint32_t>(figures.size());
    out[i].mean = fit<std::int64_t>(divide_rounded(sum, static_cast<Int128>(figures.size())));
    out[i].median = fit<std::int64_t>(divide_rounded(four_times_quartile(figures, 2), 4));
  }
  return out;
}

PlanAdherence plan_adherence(const WholeSeries& days, const WholeSeries& planned,
                             std::uint32_t tolerance_ppm) {
  PlanAdherence out;
  for (std::size_t day = 0; day < std::min(days.size(), planned.size()); ++day) {
    if (!days[day] || !planned[day] || *planned[day] < 0) continue;
    ++out.days_compared;
    const Int128 over = Int128(*days[day]) - *planned[day];
    const Int128 distance = over < 0 ? -over : over;
    if (distance * 1'000'000 <= Int128(*planned[day]) * tolerance_ppm) {
      ++out.days_within;
    } else if (over < 0) {
      ++out.days_under;
    } else {
      ++out.days_over;
    }
  }
  out.within_ppm = ratio_ppm(out.days_within, out.days_compared);
  return out;
}

}  // namespace wrackline
