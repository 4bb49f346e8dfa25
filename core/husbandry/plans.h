// Plans as messages: which one holds on a day.
#pragma once

#include "analytics/plan_in_force.h"
#include "base/iso_week.h"
#include "reading/gather.h"

namespace wrackline {

template <typename Plan>
PlanDays days_of(const Plan& plan) {
  return {plan.first_day(), plan.has_last_day() ? std::optional<Day>(plan.last_day()) : std::nullopt};
}

template <typename Plan>
bool holds_on(const Plan& plan, Day day) {
  return days_of(plan).hold_on(day);
}

// Null when none holds.
template <typename Plan>
const Gathered<Plan>* plan_in_force(const std::vector<Gathered<Plan>>& plans, Day day) {
  return plan_in_force(plans, day, [](const Gathered<Plan>& plan) { return days_of(plan.message); });
}

}  // namespace wrackline
