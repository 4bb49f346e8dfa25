// From how much food a dose is reckoned that goes by the food fed with it: one rule for the check before a dose and
// for preparing food.
#pragma once

#include <records.pb.h>

#include <optional>

#include "base/iso_week.h"
#include "base/rounding.h"

namespace wrackline {

inline bool is_reckoned_from_food(const proto::TreatmentOrder& order) {
  return order.has_dose_ug_per_kg_food() || order.has_dose_units_per_kg_food();
}

// All food that the plan asks for in the dose's slot. A dose that is the only one of its day and has no meal in its slot, or no
// slot, goes by all food of the day. Absent when nothing is planned, when one of those lines has no mass, and when the order has
// several doses and this one has no meal: how the food is shared out among them is the vet's word.
inline std::optional<std::uint64_t> dose_food_mg(const proto::TreatmentOrder& order, const proto::DietPlan& plan, Day day,
                                                 std::optional<std::uint32_t> slot_min) {
  struct Sum {
    Int128 mass_mg = 0;
    bool known = true;
    void add(const proto::DietLine& line) {
      mass_mg += line.mass_mg();
      known = known && line.has_mass_mg();
    }
  } of_slot, of_day;
  bool has_meal = false;
  for (const proto::DietLine& line : plan.lines()) {
    if (!is_on_weekday(day, line.weekdays())) continue;
    of_day.add(line);
    if (!slot_min || !line.has_slot_min() || line.slot_min() != *slot_min) continue;
    has_meal = true;
    of_slot.add(line);
  }
  if (!has_meal && (order.slots_min_size() > 1 || order.has_every_min())) return std::nullopt;
  const Sum& sum = has_meal ? of_slot : of_day;
  if (!sum.known || sum.mass_mg == 0) return std::nullopt;
  return fit<std::uint64_t>(sum.mass_mg);
}

}  // namespace wrackline
