// Which plan of an animal holds on a day, one rule for every kind of plan: of those that have begun and not passed
// their last day, the one that began last; of two that began on one day, the one further back in the list. So a plan
// with a last day stands in for an open one, which then holds again. Only call/*.cc include this.
#pragma once

#include "base/iso_week.h"
#include "call/gather.h"

namespace wrackline {

template <typename Plan>
bool holds_on(const Plan& plan, Day day) {
  return plan.first_day() <= day && (!plan.has_last_day() || plan.last_day() >= day);
}

// Null when none holds.
template <typename Plan>
const Gathered<Plan>* plan_in_force(const std::vector<Gathered<Plan>>& plans, Day day) {
  const Gathered<Plan>* in_force = nullptr;
  for (const Gathered<Plan>& plan : plans) {
    if (!holds_on(plan.message, day)) continue;
    if (in_force == nullptr || plan.message.first_day() >= in_force->message.first_day()) in_force = &plan;
  }
  return in_force;
}

}  // namespace wrackline
