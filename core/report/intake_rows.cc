#include "report/intake_rows.h"

#include <algorithm>
#include <optional>

namespace wrackline {

ReportColumns intake_columns(bool is_of_one) {
  const ReportColumn left = figure_column("left_mg", Unit::kMassMg);
  return {count_column("meals"),
          only_data(count_column("portions_unweighed")),
          figure_column("offered_mg", Unit::kMassMg),
          is_of_one ? left : only_data(left),
          figure_column("eaten_mg", Unit::kMassMg),
          figure_column("planned_mg", Unit::kMassMg),
          figure_column("plan_ppm", Unit::kPpm),
          figure_column("body_mass_ppm", Unit::kPpm)};
}

ReportCells intake_cells(const proto::IntakeDay& day) {
  const auto whole = [](std::uint64_t v) { return static_cast<std::int64_t>(v); };
  proto::ReportCell eaten = figure_cell(day.has_eaten_mg(), day.eaten_mg());
  if (day.has_eaten_mg() && day.portions_unweighed() > 0) eaten = marked(std::move(eaten), proto::REPORT_MARK_PART);
  if (day.recorded() && !day.has_eaten_mg()) eaten = code_cell("not_weighed");
  return {day.recorded() ? number_cell(day.meals()) : code_cell("unrecorded"),
          figure_cell(day.recorded(), day.portions_unweighed()),
          figure_cell(day.has_offered_mg(), whole(day.offered_mg())),
          figure_cell(day.has_left_mg(), whole(day.left_mg())),
          std::move(eaten),
          figure_cell(day.has_planned_mg(), whole(day.planned_mg())),
          figure_cell(day.has_plan_ppm(), day.plan_ppm()),
          figure_cell(day.has_body_mass_ppm(), day.body_mass_ppm())};
}

void note_part(TableWriter& table) {
  const auto is_marked = [](const proto::ReportCell& cell) { return cell.mark() == proto::REPORT_MARK_PART; };
  const auto& rows = table.table().rows();
  const bool has_one = std::any_of(rows.begin(), rows.end(), [&](const proto::ReportRow& row) {
    return std::any_of(row.cells().begin(), row.cells().end(), is_marked);
  });
  if (has_one) table.note("part_weighed");
}

TableWriter intake_days(const proto::IntakeReply& intake) {
  TableWriter out("days", joined(joined({day_column("day")}, intake_columns(true)),
                                 {figure_column("energy_cal", Unit::kEnergyCal), only_data(figure_column("body_mass_mg", Unit::kMassMg)),
                                  only_data(number_column("body_mass_age_days", Unit::kDays))}));
  std::optional<std::uint32_t> oldest_mass;
  for (const proto::IntakeDay& day : intake.days()) {
    out.row(joined(joined({day_cell(day.day())}, intake_cells(day)),
                   {figure_cell(day.has_energy_cal(), day.energy_cal()),
                    figure_cell(day.has_body_mass_mg(), static_cast<std::int64_t>(day.body_mass_mg())),
                    figure_cell(day.has_body_mass_age_days(), day.body_mass_age_days())}));
    if (day.has_body_mass_ppm()) oldest_mass = std::max(oldest_mass.value_or(0), day.body_mass_age_days());
  }
  out.note("days_recorded", {number_cell(intake.days_recorded()), number_cell(intake.days_size()), number_cell(intake.days_complete())});
  if (intake.has_eaten_mean_mg()) {
    out.note("eaten_a_day", {number_cell(intake.eaten_mean_mg(), Unit::kMassMg), number_cell(intake.eaten_median_mg(), Unit::kMassMg)});
  }
  if (intake.has_energy_mean_cal()) out.note("energy_a_day", {number_cell(intake.energy_mean_cal(), Unit::kEnergyCal)});
  note_part(out);
  if (oldest_mass) out.note("body_mass_age", {number_cell(*oldest_mass, Unit::kDays)});
  return out;
}

}  // namespace wrackline
