// This file finds the plan of an animal that holds on a day: one rule for every kind of plan, for intake, rounds,
// preparing food and stock.
#pragma once

#include <optional>
#include <vector>

#include "base/ids.h"

namespace wrackline {

struct PlanDays {
  Day first_day = 0;
  std::optional<Day> last_day;  // Included; absent = no end.
  bool hold_on(Day day) const { return first_day <= day && (!last_day || *last_day >= day); }
};

// Finds the plan that began last among those that have begun and not passed their last day. So a plan with a last
// day stands in for an open one, which then holds again. Where two begin on one day, the one further back in the list counts:
// hand them in by the time they were written. Null when none holds. `days_of(plan)` gives its PlanDays.
template <typename Plan, typename DaysOf>
const Plan* plan_in_force(const std::vector<Plan>& plans, Day day, DaysOf days_of) {
  const Plan* out = nullptr;
  for (const Plan& plan : plans) {
    const PlanDays days = days_of(plan);
    if (days.hold_on(day) && (out == nullptr || days.first_day >= days_of(*out).first_day)) out = &plan;
  }
  return out;
}

// For plans that have the two days as members.
template <typename Plan>
const Plan* plan_in_force(const std::vector<Plan>& plans, Day day) {
  return plan_in_force(plans, day, [](const Plan& plan) { return PlanDays{plan.first_day, plan.last_day}; });
}

}  // namespace wrackline
