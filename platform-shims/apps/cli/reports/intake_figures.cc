#include "cli/reports/intake_figures.h"

#include "text/decimal.h"
#include "text/figures.h"

namespace wrackline::cli {
std::string mass(bool has, std::int64_t mg) { return has ? mass_figure(mg) : ""; }
std::string energy(bool has, std::int64_t cal) {
  return has ? print_decimal(rounded(cal, 1000), 3) + " kcal" : "";
}
std::string percent(bool has, std::int64_t ppm) { return has ? percent_figure(ppm) : ""; }

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

}  // namespace wrackline::cli
