// Which of an animal's plans holds on a day: the one rule for intake, preparing food and stock.
#pragma once

#include <vector>

#include "base/ids.h"

namespace wrackline {

// Of the plans that have begun and not passed their last day, the one that began last. So a plan with a last day
// stands in for an open one, which then holds again. Of two that begin on one day, the one further back in the list
// counts: hand them in by the time they were written. Null when none holds.
//
// A Plan has a `first_day`, and a `last_day` that is absent when it has no end.
template <typename Plan>
const Plan* plan_in_force(const std::vector<Plan>& plans, Day day) {
  const Plan* out = nullptr;
  for (const Plan& plan : plans) {
    if (plan.first_day > day || (plan.last_day && *plan.last_day < day)) continue;
    if (out == nullptr || plan.first_day >= out->first_day) out = &plan;
  }
  return out;
}

}  // namespace wrackline
