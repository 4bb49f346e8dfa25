// Some days of all animals and groups, a row each; of one animal its days too.
#include <map>
#include <optional>

#include "husbandry/husbandry_calls.h"
#include "report/dose_rows.h"
#include "report/intake_rows.h"
#include "report/reports.h"

namespace wrackline {
namespace {

struct DoseCounts {
  int given = 0, otherwise = 0, missed = 0, not_known = 0;
};

// Counts the doses of each animal.
Result<std::map<ChangeId, DoseCounts>> count_doses(Replica& replica, const proto::ReportCall& call) {
  std::map<ChangeId, DoseCounts> out;
  for (Day day = call.first_day(); day <= call.last_day(); ++day) {
    WRACKLINE_TRY_VALUE(due, doses_due(replica, call, day, call.has_subject() ? &call.subject() : nullptr));
    for (const proto::DueItem& item : due) {
      DoseCounts& counts = out[id_of(item.subject())];
      if (item.state() == proto::DUE_STATE_DONE) ++(item.outcome() == proto::OUTCOME_GIVEN ? counts.given : counts.otherwise);
      if (item.state() == proto::DUE_STATE_MISSED) ++counts.missed;
      if (item.state() == proto::DUE_STATE_NOT_KNOWN) ++counts.not_known;
    }
  }
  return out;
}

template <typename Ask>
Ask asked_of(const proto::ReportCall& call, ChangeId animal) {
  Ask out;
  put_id(animal, *out.mutable_animal());
  out.set_first_day(call.first_day());
  out.set_last_day(call.last_day());
  return out;
}

ReportColumns columns_of(bool is_of_one) {
  const auto of_one = [&](ReportColumn column) { return is_of_one ? column : only_data(std::move(column)); };
  return {only_data(day_column("first_day")),
          only_data(day_column("last_day")),
          text_column("area"),
          record_column("animal"),
          count_column("head_count"),
          only_data(count_column("days")),
          count_column("days_recorded"),
          count_column("days_complete"),
          figure_column("eaten_mean_mg", Unit::kMassMg),
          of_one(figure_column("eaten_median_mg", Unit::kMassMg)),
          of_one(figure_column("energy_mean_cal", Unit::kEnergyCal)),
          count_column("days_with_plan"),
          count_column("days_within_plan"),
          figure_column("mass_change_ppm", Unit::kPpm),
          count_column("doses_given"),
          count_column("doses_otherwise"),
          count_column("doses_missed"),
          count_column("doses_not_known")};
}

}  // namespace

Status report_month(Replica& replica, const proto::ReportCall& call, proto::ReportReply& out) {
  Roster roster(replica);
  WRACKLINE_TRY_VALUE(animals, roster.animals(call.area()));
  WRACKLINE_TRY_VALUE(doses, count_doses(replica, call));
  TableWriter table("animals", columns_of(call.has_subject()));
  std::optional<proto::IntakeReply> of_one;
  for (const RosterAnimal& animal : animals) {
    if (call.has_subject() && animal.id != id_of(call.subject())) continue;
    proto::IntakeReply intake;
    proto::IntakeTrendReply trend;
    proto::BodyReply body;
    WRACKLINE_TRY(handle_intake(replica, asked_of<proto::IntakeCall>(call, animal.id), intake));
    WRACKLINE_TRY(handle_intake_trend(replica, asked_of<proto::IntakeTrendCall>(call, animal.id), trend));
    WRACKLINE_TRY(handle_body(replica, asked_of<proto::BodyCall>(call, animal.id), body));
    const DoseCounts& counts = doses[animal.id];
    const auto days_by_plan = [&](std::uint32_t days) { return figure_cell(trend.days_with_plan() > 0, days); };
    const auto count = [](int n) { return number_cell(n); };
    table.row({day_cell(call.first_day()), day_cell(call.last_day()), text_cell(animal.area), record_cell(animal.id, animal.animal.name()),
               figure_cell(intake.head_count() > 1, intake.head_count()), number_cell(intake.days_size()), number_cell(intake.days_recorded()),
               number_cell(intake.days_complete()), figure_cell(intake.has_eaten_mean_mg(), intake.eaten_mean_mg()),
               figure_cell(intake.has_eaten_median_mg(), intake.eaten_median_mg()),
               figure_cell(intake.has_energy_mean_cal(), intake.energy_mean_cal()), days_by_plan(trend.days_with_plan()),
               days_by_plan(trend.days_within_plan()), figure_cell(body.has_change_ppm(), body.change_ppm()), count(counts.given),
               count(counts.otherwise), count(counts.missed), count(counts.not_known)});
    if (call.has_subject()) of_one = std::move(intake);
  }
  table.note("month_intake", {number_cell(std::int64_t{call.last_day()} - call.first_day() + 1)});
  table.note("month_doses");
  table.put_into(out);
  if (of_one) intake_days(*of_one).put_into(out);
  out.set_main_table(of_one ? "days" : "animals");
  for (const char* caution : {"caution_intake", "caution_dose"}) *out.add_notes() = code_of(caution);
  return {};
}

}  // namespace wrackline
