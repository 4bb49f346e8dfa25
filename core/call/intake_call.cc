// Gathers what an animal was fed, weighed and planned from the records in account, for analytics/intake.h.
// Everything is put in an order that does not depend on this replica's places, so that every side gives the
// same bytes.
#include <records.pb.h>

#include <algorithm>
#include <limits>
#include <map>

#include "analytics/intake.h"
#include "call/handlers.h"
#include "model/kinds.h"

namespace wrackline {
namespace {

constexpr Day kDayMin = std::numeric_limits<Day>::min();
constexpr Day kDayMax = std::numeric_limits<Day>::max();

struct Found {
  std::uint64_t happened_ms = 0;
  ChangeId id;
  Place place = 0;
  friend bool operator<(const Found& a, const Found& b) {
    return a.happened_ms == b.happened_ms ? a.id < b.id : a.happened_ms < b.happened_ms;
  }
};

// Records of a kind that belong to `subject` and are in account, parsed and in order.
template <typename Message, typename When>
Result<std::vector<std::pair<Found, Message>>> in_account(Replica& replica, Place subject, Kind kind, Day first, Day last,
                                                          When when) {
  std::vector<std::pair<Found, Message>> out;
  WRACKLINE_TRY_VALUE(places, replica.store().records().find(subject, kind, first, last));
  for (Place place : places) {
    WRACKLINE_TRY_VALUE(state, replica.store().records().load(place));
    if (!state || !built_in_of(state->fields).in_account()) continue;
    Message message;
    if (!message.ParseFromString(state->fields)) continue;
    Found found{when(message), replica.store().logs().id_of(place), place};
    out.emplace_back(std::move(found), std::move(message));
  }
  std::sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  return out;
}

// Foods by their record, each read once.
class Foods {
 public:
  Foods(Replica& replica, IntakeInput& input) : replica_(replica), input_(input) {}
  Result<std::size_t> index_of(ChangeId food) {
    const auto [it, is_new] = index_.try_emplace(food, input_.foods.size());
    if (!is_new) return it->second;
    IntakeFood& out = input_.foods.emplace_back();
    WRACKLINE_TRY_VALUE(state, replica_.store().records().load(replica_.store().logs().find_place(food)));
    proto::Food message;
    if (state && message.ParseFromString(state->fields)) {
      if (message.has_energy_cal_per_g()) out.energy_cal_per_g = message.energy_cal_per_g();
      if (message.has_water_ppm()) out.water_ppm = message.water_ppm();
    }
    return it->second;
  }

 private:
  Replica& replica_;
  IntakeInput& input_;
  std::map<ChangeId, std::size_t> index_;
};

IntakePortion to_portion(const proto::Portion& message, std::size_t food) {
  IntakePortion out;
  out.food = food;
  if (message.has_offered_mg()) out.offered_mg = message.offered_mg();
  if (message.has_gross_mg() && message.has_tare_mg() && message.gross_mg() >= message.tare_mg()) {
    out.offered_mg = message.gross_mg() - message.tare_mg();
  }
  if (message.has_left_mg()) out.left_mg = message.left_mg();
  if (message.has_soak_ppm()) out.soak_ppm = message.soak_ppm();
  return out;
}

Status gather_meals(Replica& replica, Place animal, IntakeInput& input) {
  Foods foods(replica, input);
  const auto meal_time = [](const proto::Meal& m) { return m.happened_ms(); };
  WRACKLINE_TRY_VALUE(meals, in_account<proto::Meal>(replica, animal, Kind::kMeal, input.first_day, input.last_day, meal_time));
  for (const auto& [found, meal] : meals) {
    IntakeMeal& out = input.meals.emplace_back();
    out.day = meal.day();
    const auto no_time = [](const proto::Portion&) { return std::uint64_t{0}; };
    WRACKLINE_TRY_VALUE(portions, in_account<proto::Portion>(replica, found.place, Kind::kPortion, kDayMin, kDayMax, no_time));
    for (const auto& [portion_found, portion] : portions) {
      WRACKLINE_TRY_VALUE(food, foods.index_of(id_of(portion.food())));
      out.portions.push_back(to_portion(portion, food));
    }
  }
  return {};
}

Status gather_masses(Replica& replica, Place animal, IntakeInput& input) {
  const auto time = [](const proto::Measure& m) { return m.happened_ms(); };
  WRACKLINE_TRY_VALUE(measures, in_account<proto::Measure>(replica, animal, Kind::kMeasure, kDayMin, input.last_day, time));
  for (const auto& [found, measure] : measures) {
    if (measure.quantity() == proto::QUANTITY_MASS && measure.has_value()) {
      input.masses.push_back({measure.day(), measure.value()});
    }
  }
  return {};
}

Status gather_plans(Replica& replica, Place animal, IntakeInput& input) {
  const auto no_time = [](const proto::DietPlan&) { return std::uint64_t{0}; };
  WRACKLINE_TRY_VALUE(plans, in_account<proto::DietPlan>(replica, animal, Kind::kDietPlan, kDayMin, kDayMax, no_time));
  for (const auto& [found, plan] : plans) {
    IntakePlan& out = input.plans.emplace_back();
    out.first_day = plan.first_day();
    if (plan.has_last_day()) out.last_day = plan.last_day();
    for (const proto::DietLine& line : plan.lines()) {
      IntakePlanLine& out_line = out.lines.emplace_back();
      out_line.weekdays = line.weekdays();
      if (line.has_mass_mg()) out_line.mass_mg = line.mass_mg();
    }
  }
  return {};
}

void put_day(const IntakeDayFigures& day, proto::IntakeDay& out) {
  out.set_day(day.day);
  out.set_recorded(day.recorded);
  out.set_meals(day.meals);
  out.set_portions(day.portions);
  out.set_portions_unweighed(day.portions_unweighed);
  if (day.offered_mg) out.set_offered_mg(*day.offered_mg);
  if (day.left_mg) out.set_left_mg(*day.left_mg);
  if (day.eaten_mg) out.set_eaten_mg(*day.eaten_mg);
  if (day.energy_cal) out.set_energy_cal(*day.energy_cal);
  if (day.dry_matter_mg) out.set_dry_matter_mg(*day.dry_matter_mg);
  if (day.body_mass_mg) out.set_body_mass_mg(*day.body_mass_mg);
  if (day.body_mass_age_days) out.set_body_mass_age_days(*day.body_mass_age_days);
  if (day.body_mass_ppm) out.set_body_mass_ppm(*day.body_mass_ppm);
  if (day.planned_mg) out.set_planned_mg(*day.planned_mg);
  if (day.plan_ppm) out.set_plan_ppm(*day.plan_ppm);
}

}  // namespace

Status handle_intake(Replica& replica, const proto::IntakeCall& call, proto::IntakeReply& out) {
  const ChangeId id = id_of(call.animal());
  WRACKLINE_TRY_VALUE(state, require_record(replica, id, "computing intake"));
  proto::Animal animal;
  if (state.kind != static_cast<std::uint32_t>(Kind::kAnimal) || !animal.ParseFromString(state.fields)) {
    return fail(ErrorCode::kInvalid, "computing intake: record " + to_text(id) + " is no animal; choose an animal or a group");
  }
  IntakeInput input;
  input.first_day = call.first_day();
  input.last_day = call.last_day();
  input.head_count = animal.has_head_count() ? animal.head_count() : 1;
  const Place place = replica.store().logs().find_place(id);
  WRACKLINE_TRY(gather_meals(replica, place, input));
  WRACKLINE_TRY(gather_masses(replica, place, input));
  WRACKLINE_TRY(gather_plans(replica, place, input));
  WRACKLINE_TRY_VALUE(figures, compute_intake(input));
  for (const IntakeDayFigures& day : figures.days) put_day(day, *out.add_days());
  out.set_days_recorded(figures.days_recorded);
  out.set_days_complete(figures.days_complete);
  if (figures.eaten_mean_mg) out.set_eaten_mean_mg(*figures.eaten_mean_mg);
  if (figures.eaten_median_mg) out.set_eaten_median_mg(*figures.eaten_median_mg);
  if (figures.energy_mean_cal) out.set_energy_mean_cal(*figures.energy_mean_cal);
  out.set_head_count(figures.head_count);
  return {};
}

}  // namespace wrackline
