#include "husbandry/intake_input.h"
#include "reading/record_view.h"

#include <records.pb.h>

#include <map>
#include <unordered_map>

#include "base/wire.h"

namespace wrackline {
namespace {

// Foods by their record, each read once.
class Foods {
 public:
  Foods(Replica& replica, GatheredIntake& out) : replica_(replica), out_(out) {}
  Result<std::size_t> index_of(ChangeId food) {
    const auto [it, is_new] = index_.try_emplace(food, out_.foods.size());
    if (!is_new) return it->second;
    const std::size_t index = it->second;
    out_.foods.push_back(food);
    IntakeFood& figures = out_.input.foods.emplace_back();
    // A struck food was fed all the same.
    WRACKLINE_TRY_VALUE(record, read_record<proto::Food>(replica_, replica_.store().logs().find_place(food), true));
    if (!record) return index;
    if (record->message.has_energy_cal_per_g()) figures.energy_cal_per_g = record->message.energy_cal_per_g();
    if (record->message.has_water_ppm()) figures.water_ppm = record->message.water_ppm();
    return index;
  }

 private:
  Replica& replica_;
  GatheredIntake& out_;
  std::map<ChangeId, std::size_t> index_;
};

Status gather_meals(Replica& replica, Place animal, GatheredIntake& out) {
  Foods foods(replica, out);
  Projection& records = replica.store().records();
  const LogTable& logs = replica.store().logs();
  const Day first = out.input.first_day, last = out.input.last_day;
  WRACKLINE_TRY_VALUE(meals, records.find_brief(animal, Kind::kMeal, first, last));
  std::unordered_map<Place, std::size_t> meal_at;
  for (const KeyRow& row : meals) {
    if (!built_in_of(row.brief).in_account()) continue;
    meal_at[row.record] = out.input.meals.size();
    out.input.meals.push_back({row.key.day, {}});
  }
  WRACKLINE_TRY_VALUE(portions, records.find_brief_via(animal, Kind::kMeal, Kind::kPortion, first, last));
  for (const KeyRow& row : portions) {
    const auto meal = meal_at.find(row.key.subject);
    if (meal == meal_at.end() || !built_in_of(row.brief).in_account()) continue;
    WRACKLINE_TRY_VALUE(food, foods.index_of(logs.id_of(row.key.detail)));
    out.input.meals[meal->second].portions.push_back(portion_of_brief(row.brief, food));
  }
  return {};
}

Status gather_masses(Replica& replica, Place animal, IntakeInput& input) {
  // The masses of the span and the last one before it.
  const auto read = [&](Day first, Day last) { return gather_brief<proto::Measure>(replica, animal, Kind::kMeasure, first, last); };
  const auto is_before = [&input](const Gathered<proto::Measure>& measure) {
    return measure.message.quantity() == proto::QUANTITY_MASS && measure.message.value() > 0 && measure.message.day() <= input.first_day;
  };
  WRACKLINE_TRY_VALUE(measures, gather_back(input.first_day, input.last_day, read, is_before));
  for (const Gathered<proto::Measure>& measure : measures) {
    if (measure.message.quantity() == proto::QUANTITY_MASS && measure.message.has_value()) {
      input.masses.push_back({measure.message.day(), measure.message.value()});
    }
  }
  return {};
}

Status gather_plans(Replica& replica, Place animal, IntakeInput& input) {
  WRACKLINE_TRY_VALUE(plans, gather<proto::DietPlan>(replica, animal, Kind::kDietPlan));
  for (const Gathered<proto::DietPlan>& plan : plans) {
    IntakePlan& out = input.plans.emplace_back();
    out.first_day = plan.message.first_day();
    if (plan.message.has_last_day()) out.last_day = plan.message.last_day();
    for (const proto::DietLine& line : plan.message.lines()) {
      IntakePlanLine& out_line = out.lines.emplace_back();
      out_line.weekdays = line.weekdays();
      if (line.has_mass_mg()) out_line.mass_mg = line.mass_mg();
      if (line.has_tolerance_mg()) out_line.tolerance_mg = line.tolerance_mg();
    }
  }
  return {};
}

}  // namespace

Result<GatheredIntake> gather_intake(Replica& replica, const RosterAnimal& animal, Day first_day, Day last_day) {
  GatheredIntake out;
  out.input.first_day = first_day;
  out.input.last_day = last_day;
  out.input.head_count = animal.animal.has_head_count() ? animal.animal.head_count() : 1;
  WRACKLINE_TRY(gather_meals(replica, animal.place, out));
  WRACKLINE_TRY(gather_masses(replica, animal.place, out.input));
  WRACKLINE_TRY(gather_plans(replica, animal.place, out.input));
  return out;
}

IntakePortion portion_of_brief(ByteView brief, std::size_t food) {
  IntakePortion out;
  out.food = food;
  std::optional<std::uint64_t> gross_mg, tare_mg;
  WireReader reader(brief);
  WireField field;
  while (reader.next(field)) {
    switch (field.number) {
      case proto::Portion::kGrossMgFieldNumber: gross_mg = field.scalar; break;
      case proto::Portion::kTareMgFieldNumber: tare_mg = field.scalar; break;
      case proto::Portion::kOfferedMgFieldNumber: out.offered_mg = field.scalar; break;
      case proto::Portion::kLeftMgFieldNumber: out.left_mg = field.scalar; break;
      case proto::Portion::kSoakPpmFieldNumber: out.soak_ppm = static_cast<std::uint32_t>(field.scalar); break;
      default: break;
    }
  }
  if (gross_mg && tare_mg && *gross_mg >= *tare_mg) out.offered_mg = *gross_mg - *tare_mg;
  return out;
}

void put_intake_day(const IntakeDayFigures& day, proto::IntakeDay& out) {
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

}  // namespace wrackline
