#include "intake_figures.h"

#include "decimal.h"
#include "names.h"
#include "quantity.h"
#include "records.pb.h"
#include "schema.h"

namespace wrackline::cli {
namespace {

std::int64_t rounded(std::int64_t v, std::int64_t step) {
  return (v < 0 ? v - step / 2 : v + step / 2) / step * step;
}

}  // namespace

std::string mass(bool has, std::int64_t mg) {
  return has ? print_quantity(Unit::kMassMg, rounded(mg, 1000)) : "";
}
std::string energy(bool has, std::int64_t cal) {
  return has ? print_decimal(rounded(cal, 1000), 3) + " kcal" : "";
}
std::string percent(bool has, std::int64_t ppm) {
  return has ? print_decimal(rounded(ppm, 1000), 4) + " %" : "";
}

void day_json(Json& json, const IntakeDay& d) {
  json.object().member("day", print_day(d.day())).member("recorded", d.recorded());
  if (d.recorded())
    json.member("meals", d.meals())
        .member("portions", d.portions())
        .member("portions_unweighed", d.portions_unweighed());
  if (d.has_offered_mg()) json.member("offered_mg", d.offered_mg());
  if (d.has_left_mg()) json.member("left_mg", d.left_mg());
  if (d.has_eaten_mg()) json.member("eaten_mg", d.eaten_mg());
  if (d.has_energy_cal()) json.member("energy_cal", d.energy_cal());
  if (d.has_dry_matter_mg()) json.member("dry_matter_mg", d.dry_matter_mg());
  if (d.has_body_mass_mg()) json.member("body_mass_mg", d.body_mass_mg());
  if (d.has_body_mass_age_days()) json.member("body_mass_age_days", d.body_mass_age_days());
  if (d.has_body_mass_ppm()) json.member("body_mass_ppm", d.body_mass_ppm());
  if (d.has_planned_mg()) json.member("planned_mg", d.planned_mg());
  if (d.has_plan_ppm()) json.member("plan_ppm", d.plan_ppm());
  json.end();
}

std::vector<std::string> doubts(const IntakeCall& intake, const Ask& ask) {
  const auto get = [&](const RecordRef& record) {
    Call call;
    *call.mutable_get()->mutable_record() = record;
    return ask(call).get().record();
  };
  Call call;
  call.mutable_review();
  const Reply reply = ask(call);
  std::vector<std::string> out;
  for (const ReviewItem& item : reply.review().items()) {
    const std::string kind = kind_name(item.kind());
    if (item.records_size() == 0 || (kind != "meal" && kind != "portion" && kind != "measure")) continue;
    RecordView view = get(item.records(0));
    if (kind == "portion") {
      Portion portion;
      portion.ParseFromString(view.fields());
      view = get(portion.meal());
    }
    RecordRef animal;
    Day day = 0;
    if (kind == "measure") {
      Measure measure;
      measure.ParseFromString(view.fields());
      animal = measure.animal();
      day = measure.day();
    } else {
      Meal meal;
      meal.ParseFromString(view.fields());
      animal = meal.animal();
      day = meal.day();
    }
    // A body mass counts until the next one, so an earlier one in doubt matters too.
    if (!same(animal, intake.animal()) || day > intake.last_day() ||
        (day < intake.first_day() && kind != "measure"))
      continue;
    out.push_back(print_day(day) + ": " +
                  (item.field() ? "a " + kind + " is in disagreement; one of its values is counted"
                                : "a " + kind + " may have been recorded twice; both count") +
                  " until the officer has spoken (`wrack review`)");
  }
  return out;
}

}  // namespace wrackline::cli
