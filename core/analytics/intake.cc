#include "analytics/intake.h"

#include <algorithm>

#include "analytics/plan_in_force.h"
#include "base/iso_week.h"
#include "base/rounding.h"

namespace wrackline {
namespace {


// Sums of one day's weighed portions, exact until they are shown.
struct WeighedSums {
  Int128 left_mg = 0;
  Int128 eaten_mg = 0;
  Int128 energy_mcal = 0;      // Thousandths of a calorie: milligrams times calories per gram.
  Int128 dry_matter_ppmg = 0;  // Millionths of a milligram.
  bool energy_known = true;
  bool dry_matter_known = true;
  bool in_range = true;  // Each portion's masses fit 64 bits, so that sums and products cannot leave 128.
};

void add_weighed(WeighedSums& sums, std::vector<Int128>& eaten_by_food, const IntakePortion& portion,
                 const IntakeFood& food) {
  const std::uint32_t soak_ppm = portion.soak_ppm.value_or(0);
  const Int128 wet_mg = *portion.left_mg;
  const Int128 left_mg = soak_ppm == 0 ? wet_mg : divide_rounded(wet_mg * kPpm, soak_ppm);
  const Int128 eaten_mg = Int128(*portion.offered_mg) - left_mg;
  if (!fit<std::uint64_t>(left_mg) || !fit<std::int64_t>(eaten_mg)) {
    sums.in_range = false;
    return;
  }
  sums.left_mg += left_mg;
  sums.eaten_mg += eaten_mg;
  if (portion.food < eaten_by_food.size()) eaten_by_food[portion.food] += eaten_mg;
  if (food.energy_cal_per_g) {
    sums.energy_mcal += eaten_mg * *food.energy_cal_per_g;
  } else {
    sums.energy_known = false;
  }
  if (food.water_ppm && *food.water_ppm <= kPpm) {
    sums.dry_matter_ppmg += eaten_mg * (kPpm - *food.water_ppm);
  } else {
    sums.dry_matter_known = false;
  }
}

// The day's own meals; leaves body mass and plan to the caller.
IntakeDayFigures day_figures(Day day, const std::vector<const IntakeMeal*>& meals,
                             const std::vector<IntakeFood>& foods, std::vector<Int128>& eaten_by_food) {
  static const IntakeFood kUnknownFood;
  IntakeDayFigures out;
  out.day = day;
  out.recorded = !meals.empty();
  out.meals = static_cast<std::uint32_t>(meals.size());
  out.complete = out.recorded;
  WeighedSums sums;
  Int128 offered_mg = 0;
  bool any_offered = false;
  for (const IntakeMeal* meal : meals) {
    // Nobody knows what was fed in a meal without portions.
    if (meal->portions.empty()) out.complete = false;
    for (const IntakePortion& portion : meal->portions) {
      ++out.portions;
      if (portion.offered_mg) {
        any_offered = true;
        offered_mg += *portion.offered_mg;
      }
      if (portion.offered_mg && portion.left_mg) {
        add_weighed(sums, eaten_by_food, portion, portion.food < foods.size() ? foods[portion.food] : kUnknownFood);
      } else {
        ++out.portions_unweighed;
        out.complete = false;
      }
    }
  }
  if (any_offered) out.offered_mg = fit<std::uint64_t>(offered_mg);
  if (out.portions == out.portions_unweighed) return out;
  if (!sums.in_range) {
    out.complete = false;
    return out;
  }
  out.left_mg = fit<std::uint64_t>(sums.left_mg);
  out.eaten_mg = fit<std::int64_t>(sums.eaten_mg);
  if (sums.energy_known) out.energy_cal = fit<std::int64_t>(divide_rounded(sums.energy_mcal, 1000));
  if (sums.dry_matter_known)
    out.dry_matter_mg = fit<std::int64_t>(divide_rounded(sums.dry_matter_ppmg, kPpm));
  // A sum that cannot be said cannot go into a mean either.
  if (!out.eaten_mg) out.complete = false;
  return out;
}

void add_body_mass(IntakeDayFigures& day, const std::vector<BodyMass>& by_day) {
  const auto after = std::upper_bound(by_day.begin(), by_day.end(), day.day,
                                      [](Day wanted, const BodyMass& mass) { return wanted < mass.day; });
  if (after == by_day.begin()) return;
  const BodyMass& mass = *(after - 1);
  day.body_mass_mg = mass.mass_mg;
  day.body_mass_age_days = static_cast<std::uint32_t>(std::int64_t{day.day} - mass.day);
  if (day.eaten_mg) day.body_mass_ppm = ratio_ppm(*day.eaten_mg, mass.mass_mg);
}

void add_plan(IntakeDayFigures& day, const std::vector<IntakePlan>& plans) {
  const IntakePlan* in_force = plan_in_force(plans, day.day);
  if (in_force == nullptr) return;
  Int128 planned_mg = 0, tolerance_mg = 0;
  bool has_tolerance = true;
  for (const IntakePlanLine& line : in_force->lines) {
    if (!is_on_weekday(day.day, line.weekdays)) continue;
    if (!line.mass_mg) return;
    planned_mg += *line.mass_mg;
    tolerance_mg += line.tolerance_mg.value_or(0);
    has_tolerance = has_tolerance && line.tolerance_mg;
  }
  day.planned_mg = fit<std::uint64_t>(planned_mg);
  if (has_tolerance) day.planned_tolerance_mg = fit<std::uint64_t>(tolerance_mg);
  if (day.eaten_mg) day.plan_ppm = ratio_ppm(*day.eaten_mg, planned_mg);
}

void add_averages(IntakeFigures& out) {
  std::vector<std::int64_t> eaten_mg;
  Int128 eaten_sum_mg = 0;
  Int128 energy_sum_cal = 0;
  bool energy_known = true;
  for (const IntakeDayFigures& day : out.days) {
    if (day.recorded) ++out.days_recorded;
    if (!day.complete) continue;
    eaten_mg.push_back(*day.eaten_mg);
    eaten_sum_mg += *day.eaten_mg;
    energy_known = energy_known && day.energy_cal;
    energy_sum_cal += day.energy_cal.value_or(0);
  }
  out.days_complete = static_cast<std::uint32_t>(eaten_mg.size());
  if (eaten_mg.empty()) return;
  const Int128 count = static_cast<Int128>(eaten_mg.size());
  out.eaten_mean_mg = fit<std::int64_t>(divide_rounded(eaten_sum_mg, count));
  if (energy_known) out.energy_mean_cal = fit<std::int64_t>(divide_rounded(energy_sum_cal, count));
  std::sort(eaten_mg.begin(), eaten_mg.end());
  const std::size_t middle = eaten_mg.size() / 2;
  out.eaten_median_mg =
      eaten_mg.size() % 2 == 1
          ? eaten_mg[middle]
          : fit<std::int64_t>(divide_rounded(Int128(eaten_mg[middle - 1]) + eaten_mg[middle], 2));
}

}  // namespace

Result<IntakeFigures> compute_intake(const IntakeInput& input) {
  const std::int64_t day_count = std::int64_t{input.last_day} - input.first_day + 1;
  if (day_count < 1) {
    return fail(ErrorCode::kInvalid, "computing intake: the last day is before the first; swap the two");
  }
  if (day_count > kIntakeDaysMax) {
    return fail(ErrorCode::kInvalid,
                "computing intake: the span is longer than ten years; ask for a shorter one");
  }

  std::vector<std::vector<const IntakeMeal*>> meals_of_day(static_cast<std::size_t>(day_count));
  for (const IntakeMeal& meal : input.meals) {
    if (meal.day < input.first_day || meal.day > input.last_day) continue;
    meals_of_day[static_cast<std::size_t>(std::int64_t{meal.day} - input.first_day)].push_back(&meal);
  }
  std::vector<BodyMass> masses;
  for (const BodyMass& mass : input.masses) {
    if (mass.mass_mg > 0) masses.push_back(mass);
  }
  std::stable_sort(masses.begin(), masses.end(),
                   [](const BodyMass& a, const BodyMass& b) { return a.day < b.day; });

  IntakeFigures out;
  out.head_count = input.head_count;
  out.days.reserve(meals_of_day.size());
  std::vector<Int128> eaten_by_food(input.foods.size());
  for (std::size_t i = 0; i < meals_of_day.size(); ++i) {
    const Day day = static_cast<Day>(input.first_day + static_cast<std::int64_t>(i));
    out.days.push_back(day_figures(day, meals_of_day[i], input.foods, eaten_by_food));
    if (!out.days.back().recorded) continue;
    add_body_mass(out.days.back(), masses);
    add_plan(out.days.back(), input.plans);
  }
  for (Int128 eaten_mg : eaten_by_food) out.eaten_mg_by_food.push_back(fit<std::int64_t>(eaten_mg));
  add_averages(out);
  return out;
}

}  // namespace wrackline
