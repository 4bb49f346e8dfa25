// Diet plans of an animal, read for the calls that look at more of them than their masses. Only call/*.cc include
// this.
#pragma once

#include <records.pb.h>

#include <optional>
#include <vector>

#include "analytics/plan_in_force.h"
#include "base/weekday.h"
#include "call/gather.h"

namespace wrackline {

struct Diet {
  ChangeId id;
  Day first_day = 0;
  std::optional<Day> last_day;
  proto::DietPlan plan;
};

// Those in account, as plan_in_force() asks for them.
inline Result<std::vector<Diet>> gather_diets(Replica& replica, Place animal) {
  std::vector<Diet> out;
  WRACKLINE_TRY_VALUE(plans, gather<proto::DietPlan>(replica, animal, Kind::kDietPlan));
  for (Gathered<proto::DietPlan>& plan : plans) {
    Diet& diet = out.emplace_back();
    diet.id = plan.id;
    diet.first_day = plan.message.first_day();
    if (plan.message.has_last_day()) diet.last_day = plan.message.last_day();
    diet.plan = std::move(plan.message);
  }
  return out;
}

inline bool is_for(const proto::DietLine& line, Day day) { return is_on_weekday(day, line.weekdays()); }

}  // namespace wrackline
