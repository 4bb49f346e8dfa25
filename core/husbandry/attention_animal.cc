// Attention to an animal: whether it eats, whether it is fed, its plans, its weighings.
#include <map>

#include "analytics/attention.h"
#include "husbandry/attention_list.h"
#include "husbandry/plans.h"
#include "reading/countersigned.h"
#include "reading/record_view.h"
#include "schedule/recency.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kLastMinute = 24 * 60 - 1;

using Meals = std::vector<Gathered<proto::Meal>>;
using Portions = std::vector<Gathered<proto::Portion>>;

IntakePortion to_portion(const proto::Portion& message) {
  IntakePortion out;
  if (message.has_offered_mg()) out.offered_mg = message.offered_mg();
  if (message.has_gross_mg() && message.has_tare_mg() && message.gross_mg() >= message.tare_mg()) {
    out.offered_mg = message.gross_mg() - message.tare_mg();
  }
  if (message.has_left_mg()) out.left_mg = message.left_mg();
  if (message.has_soak_ppm()) out.soak_ppm = message.soak_ppm();
  return out;
}

// When a meal was: as written down, else at its slot, else at the end of its day.
WallMs time_of(const AttentionList& list, const proto::Meal& meal) {
  if (meal.has_happened_ms()) return meal.happened_ms();
  return list.instant_of(meal.day(), meal.has_slot_min() ? meal.slot_min() : kLastMinute);
}

// When meals were planned, by the plan in force on each day; not before the plan was written down.
Result<std::vector<WallMs>> planned_ms(AttentionList& list, Place animal) {
  std::vector<WallMs> out;
  WRACKLINE_TRY_VALUE(plans, gather<proto::DietPlan>(list.replica, animal, Kind::kDietPlan));
  for (Day on = list.lasting_from; on <= list.day; ++on) {
    const Gathered<proto::DietPlan>* plan = plan_in_force(plans, on);
    if (plan == nullptr) continue;
    WRACKLINE_TRY_VALUE(entered, entered_ms(list.replica, plan->place));
    for (const proto::DietLine& line : plan->message.lines()) {
      if (!is_on_weekday(on, line.weekdays())) continue;
      const WallMs at_ms = list.instant_of(on, line.has_slot_min() ? line.slot_min() : kLastMinute);
      if (at_ms >= entered) out.push_back(at_ms);
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

template <typename Plan>
Status attend_approval(AttentionList& list, const RosterAnimal& animal, Kind kind) {
  WRACKLINE_TRY_VALUE(plans, gather<Plan>(list.replica, animal.place, kind));
  const Gathered<Plan>* in_force = plan_in_force(plans, list.day);
  for (const Gathered<Plan>& plan : plans) {
    const bool matters = &plan == in_force || plan.message.first_day() > list.day;
    if (!matters) continue;
    WRACKLINE_TRY_VALUE(word, word_of(list.replica, plan.place));
    if (word == Word::kTheirs) continue;
    list.add(proto::ATTENTION_RULE_PLAN_NOT_APPROVED, animal.id, animal.animal.name(), plan.id,
             plan.message.first_day())
        .set_what(kind == Kind::kDietPlan ? "diet plan" : "enrichment plan");
  }
  return {};
}

}  // namespace

Status attend_feeding(AttentionList& list, const RosterAnimal& animal) {
  WRACKLINE_TRY_VALUE(
      meals, gather_brief<proto::Meal>(list.replica, animal.place, Kind::kMeal, list.lasting_from, list.day));
  std::stable_sort(meals.begin(), meals.end(), [&](const auto& a, const auto& b) {
    return time_of(list, a.message) < time_of(list, b.message);
  });
  WRACKLINE_TRY_VALUE(
      portions, gather_brief_via<proto::Portion>(list.replica, animal.place, Kind::kMeal, Kind::kPortion,
                                                 list.lasting_from, list.day));
  std::map<ChangeId, std::vector<IntakePortion>> of_meal;
  std::map<ChangeId, ChangeId> left_above;  // A portion by its meal.
  for (const Gathered<proto::Portion>& portion : portions) {
    const ChangeId meal = id_of(portion.message.meal());
    of_meal[meal].push_back(to_portion(portion.message));
    if (is_left_above_offered(of_meal[meal].back())) left_above.emplace(meal, portion.id);
  }
  std::vector<FedMeal> fed;
  std::optional<WallMs> last_ms;
  for (const Gathered<proto::Meal>& meal : meals) {
    fed.push_back({time_of(list, meal.message), eaten_of(of_meal[meal.id])});
    if (fed.back().at_ms <= list.now_ms) last_ms = fed.back().at_ms;
    const auto above = left_above.find(meal.id);
    if (above == left_above.end()) continue;
    list.add(proto::ATTENTION_RULE_LEFT_ABOVE_OFFERED, animal.id, animal.animal.name(), above->second,
             meal.message.day());
  }
  if (const auto found = not_eating(fed, list.now_ms)) {
    const Gathered<proto::Meal>& meal = meals[found->last_meal];
    list.add(proto::ATTENTION_RULE_NOT_EATING, animal.id, animal.animal.name(), meal.id, meal.message.day())
        .set_since_ms(found->since_ms);
  }
  if (!list.known_ms) return {};
  WRACKLINE_TRY_VALUE(planned, planned_ms(list, animal.place));
  // A meal of this tablet's own that is later than the last exchange is a meal all the same.
  if (last_ms && *last_ms > *list.known_ms) return {};
  if (const auto since = not_fed(last_ms, planned, *list.known_ms)) {
    list.add(proto::ATTENTION_RULE_NOT_FED, animal.id, animal.animal.name(), {}, list.day)
        .set_since_ms(*since);
  }
  return {};
}

Status attend_plans(AttentionList& list, const RosterAnimal& animal) {
  WRACKLINE_TRY(attend_approval<proto::DietPlan>(list, animal, Kind::kDietPlan));
  return attend_approval<proto::EnrichmentPlan>(list, animal, Kind::kEnrichmentPlan);
}

Status attend_mass(AttentionList& list, const RosterAnimal& animal) {
  WRACKLINE_TRY_VALUE(plans, gather<proto::WatchPlan>(list.replica, animal.place, Kind::kWatchPlan));
  for (const Gathered<proto::WatchPlan>& plan : plans) {
    const proto::WatchPlan& watch = plan.message;
    if (watch.quantity() != proto::QUANTITY_MASS || watch.every_days() == 0 || !holds_on(watch, list.day))
      continue;
    const auto read = [&](Day first, Day until) {
      return gather_brief<proto::Measure>(list.replica, animal.place, Kind::kMeasure, first, until);
    };
    const auto is_mass = [](const Gathered<proto::Measure>& measure) {
      return measure.message.quantity() == proto::QUANTITY_MASS;
    };
    WRACKLINE_TRY_VALUE(measures, gather_back(list.day, list.day, read, is_mass));
    std::optional<Day> last;
    for (const Gathered<proto::Measure>& measure : measures) {
      if (!is_mass(measure)) continue;
      last = std::max(last.value_or(measure.message.day()), measure.message.day());
    }
    WRACKLINE_TRY_VALUE(due, recency_due(last, watch.first_day(), watch.every_days(), list.day));
    if (due.overdue_days <= 0) continue;
    list.add(proto::ATTENTION_RULE_MASS_OVERDUE, animal.id, animal.animal.name(), plan.id, due.due_day);
  }
  return {};
}

}  // namespace wrackline
