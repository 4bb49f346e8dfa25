// How an animal eats over a span: windows, weekdays, charts, trend, what a ration would look like.
#include <records.pb.h>

#include "analytics/control_chart.h"
#include "analytics/descriptive.h"
#include "analytics/outliers.h"
#include "analytics/plan_adjusted.h"
#include "analytics/ration.h"
#include "analytics/scaled.h"
#include "analytics/trend.h"
#include "analytics/windows.h"
#include "base/rounding.h"
#include "husbandry/husbandry_calls.h"
#include "husbandry/intake_input.h"
#include "nutrition/diet_minerals.h"
#include "reading/record_view.h"

namespace wrackline {
namespace {

constexpr std::size_t kBaselineDaysMin = 8;
constexpr std::uint64_t kStepDefaultMg = 10'000;

// Eaten on complete days; a day that is not complete is a gap, since what it says is less than was eaten.
WholeSeries complete_days(const IntakeFigures& figures) {
  WholeSeries out;
  for (const IntakeDayFigures& day : figures.days) {
    out.push_back(day.complete ? day.eaten_mg : std::nullopt);
  }
  return out;
}

Series as_series(const WholeSeries& whole) {
  Series out;
  for (const auto& value : whole) {
    out.push_back(value ? std::optional<double>(static_cast<double>(*value)) : std::nullopt);
  }
  return out;
}

void put_windows(const WholeSeries& eaten, proto::IntakeTrendReply& out) {
  for (const std::uint32_t days : {7u, 28u}) {
    const WindowMean last = trailing_means(eaten, days).back();
    proto::WindowMean& window = *out.add_windows();
    window.set_days(days);
    window.set_counted(last.days_counted);
    if (last.mean) window.set_eaten_mean_mg(*last.mean);
  }
}

void put_weekdays(Day first_day, const WholeSeries& eaten, proto::IntakeTrendReply& out) {
  std::uint32_t number = 0;
  for (const WeekdayFigures& weekday : weekday_pattern(first_day, eaten)) {
    proto::WeekdayFigures& row = *out.add_weekdays();
    row.set_weekday(number++);
    row.set_counted(weekday.days_counted);
    if (weekday.mean) row.set_eaten_mean_mg(*weekday.mean);
    if (weekday.median) row.set_eaten_median_mg(*weekday.median);
  }
}

void put_adherence(const IntakeFigures& figures, proto::IntakeTrendReply& out) {
  for (const IntakeDayFigures& day : figures.days) {
    if (!day.complete || !day.eaten_mg || !day.planned_mg || !day.planned_tolerance_mg) continue;
    const Int128 off_mg = Int128(*day.eaten_mg) - *day.planned_mg;
    const Int128 tolerance_mg = *day.planned_tolerance_mg;
    out.set_days_with_plan(out.days_with_plan() + 1);
    if (off_mg <= tolerance_mg && -off_mg <= tolerance_mg) out.set_days_within_plan(out.days_within_plan() + 1);
  }
}

// Fills in the series that the charts and the outlier rule judge; see analytics/plan_adjusted.h.
Series put_judged(const WholeSeries& eaten, const IntakeFigures& figures, proto::IntakeTrendReply& out) {
  std::vector<std::optional<std::uint64_t>> planned;
  for (const IntakeDayFigures& day : figures.days) planned.push_back(day.planned_mg);
  const PlanAdjusted adjusted = adjust_to_plan(eaten, planned);
  if (adjusted.usual_plan_mg) out.set_usual_plan_mg(*adjusted.usual_plan_mg);
  for (std::size_t i = 0; i < adjusted.judged_mg.size(); ++i) {
    if (adjusted.judged_mg[i]) out.mutable_points(static_cast<int>(i))->set_judged_mg(*adjusted.judged_mg[i]);
  }
  return as_series(adjusted.judged_mg);
}

Status put_charts(const Series& judged, proto::IntakeTrendReply& out) {
  const std::vector<double> known = known_values(judged);
  const std::vector<double> baseline(known.begin(), known.begin() + static_cast<std::ptrdiff_t>(known.size() / 2));
  if (baseline.size() < kBaselineDaysMin) return {};
  const auto target = mean(baseline), sd = standard_deviation(baseline);
  // Days that are all alike have no spread to judge others by.
  if (!target || !sd || *sd <= 0) return {};
  const auto target_mg = to_scaled(*target, 1), sd_mg = to_scaled(*sd, 1);
  if (!target_mg || !sd_mg) return {};
  out.set_baseline_mg(*target_mg);
  out.set_baseline_sd_mg(static_cast<std::uint64_t>(*sd_mg));
  EwmaSettings ewma;
  ewma.target = *target;
  ewma.sigma = *sd;
  // A slack of half a standard deviation and a decision value of five find a shift of one in about ten days and
  // raise a false alarm in about 465 (run lengths by the R package spc).
  const CusumSettings cusum{*target, 0.5 * *sd, 5 * *sd};
  WRACKLINE_TRY_VALUE(ewma_points, ewma_chart(judged, ewma));
  WRACKLINE_TRY_VALUE(cusum_points, cusum_chart(judged, cusum));
  for (std::size_t i = 0; i < judged.size(); ++i) {
    if (!ewma_points[i] || !cusum_points[i]) continue;
    proto::ChartPoint& point = *out.mutable_points(static_cast<int>(i));
    if (const auto v = to_scaled(ewma_points[i]->z, 1)) point.set_ewma_mg(*v);
    if (const auto v = to_scaled(ewma_points[i]->limits.lower, 1)) point.set_low_mg(*v);
    if (const auto v = to_scaled(ewma_points[i]->limits.upper, 1)) point.set_high_mg(*v);
    if (const auto v = to_scaled(cusum_points[i]->upper, 1)) point.set_cusum_high_mg(*v);
    if (const auto v = to_scaled(cusum_points[i]->lower, 1)) point.set_cusum_low_mg(*v);
    point.set_alarm(ewma_points[i]->outside || cusum_points[i]->alarm);
  }
  return {};
}

void put_trend(const Series& eaten, proto::IntakeTrendReply& out) {
  if (const auto test = mann_kendall(eaten)) {
    const auto z = to_scaled(test->z, 1000);
    if (z) {
      if (const auto whole = fit<std::int32_t>(*z)) out.set_trend_z_thousandths(*whole);
    }
  }
  if (const auto line = theil_sen(known_points(eaten))) {
    if (const auto slope = to_scaled(line->slope, 7)) out.set_trend_mg_per_week(*slope);
  }
}

Status put_minerals(Replica& replica, const GatheredIntake& gathered, const IntakeFigures& figures,
                    proto::IntakeTrendReply& out) {
  std::vector<DietPart> parts;
  for (std::size_t i = 0; i < gathered.foods.size(); ++i) {
    DietPart& part = parts.emplace_back();
    const auto eaten = figures.eaten_mg_by_food[i];
    if (eaten && *eaten >= 0) part.mass_mg = static_cast<std::uint64_t>(*eaten);
    WRACKLINE_TRY_VALUE(food, read_record<proto::Food>(replica, replica.store().logs().find_place(gathered.foods[i]), true));
    if (!food) continue;
    if (food->message.has_calcium_ug_per_g()) part.calcium_ppm = food->message.calcium_ug_per_g();
    if (food->message.has_phosphorus_ug_per_g()) part.phosphorus_ppm = food->message.phosphorus_ug_per_g();
  }
  if (const auto ratio = diet_minerals(parts).calcium_per_phosphorus_ppm) {
    out.set_calcium_per_phosphorus_thousandths(static_cast<std::uint32_t>(divide_rounded(*ratio, 1000)));
  }
  return {};
}

}  // namespace

Status handle_intake_trend(Replica& replica, const proto::IntakeTrendCall& call, proto::IntakeTrendReply& out) {
  Roster roster(replica);
  WRACKLINE_TRY_VALUE(animal, roster.animal(id_of(call.animal()), "showing intake over time"));
  WRACKLINE_TRY_VALUE(gathered, gather_intake(replica, animal, call.first_day(), call.last_day()));
  WRACKLINE_TRY_VALUE(figures, compute_intake(gathered.input));
  const WholeSeries eaten = complete_days(figures);
  const Series series = as_series(eaten);
  for (std::size_t i = 0; i < eaten.size(); ++i) {
    proto::ChartPoint& point = *out.add_points();
    point.set_day(figures.days[i].day);
    if (eaten[i]) point.set_eaten_mg(*eaten[i]);
  }
  put_windows(eaten, out);
  put_weekdays(call.first_day(), eaten, out);
  out.set_days_complete(figures.days_complete);
  put_adherence(figures, out);
  const Series judged = put_judged(eaten, figures, out);
  WRACKLINE_TRY(put_charts(judged, out));
  if (const auto far_off = hampel(judged)) {
    for (std::size_t place : far_off->outliers) out.mutable_points(static_cast<int>(place))->set_outlier(true);
  }
  put_trend(series, out);
  const std::uint64_t step_mg = call.step_mg() == 0 ? kStepDefaultMg : call.step_mg();
  if (const auto step = fit<std::int64_t>(step_mg)) {
    const auto ration = suggest_ration(call.first_day(), eaten, *step);
    if (ration && ration->ration_mg >= 0 && ration->lower_quartile_mg >= 0) {
      out.set_ration_mg(static_cast<std::uint64_t>(ration->ration_mg));
      out.set_ration_low_mg(static_cast<std::uint64_t>(ration->lower_quartile_mg));
      out.set_ration_high_mg(static_cast<std::uint64_t>(ration->upper_quartile_mg));
    }
  }
  WRACKLINE_TRY(put_minerals(replica, gathered, figures, out));
  out.set_head_count(figures.head_count);
  return {};
}

}  // namespace wrackline
