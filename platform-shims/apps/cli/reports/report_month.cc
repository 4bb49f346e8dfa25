// wrack report month: a line an animal over a calendar month.
#include <algorithm>
#include <map>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/reports/intake_figures.h"
#include "cli/reports/report.h"
#include "text/csv.h"

namespace wrackline::cli {
namespace {

struct Doses {
  int given = 0, otherwise = 0, missed = 0, not_known = 0;
};

struct MonthLine {
  AnimalDay animal;  // The animal as it stood on the last day.
  IntakeReply intake;
  IntakeTrendReply trend;
  BodyReply body;
  Doses doses;
};

// "2026-10", up to today where the month is not over.
ReportSpan month_of(const std::string& text, Client& client) {
  const Result<Day> first = parse_day(text + "-01");
  if (!first) throw usage("\"" + text + "\" is not a month; write it as 2026-10");
  Day last = *first + 27;
  while (print_day(last + 1).substr(0, 7) == text) ++last;
  const Day today = client.zone().today(client.now());
  if (*first > today) throw usage("the month " + text + " has not begun");
  return {*first, std::min(last, today)};
}

std::map<ChangeId, Doses> doses_in(Client& client, ReportSpan span) {
  std::map<ChangeId, Doses> out;
  for (Day day = span.first; day <= span.last; ++day) {
    Call call;
    call.mutable_round()->set_day(day);
    put_zone(*call.mutable_round(), client.zone(), day);
    const RoundReply reply = client.call(call).round();
    for (const DueItem& item : reply.items()) {
      if (item.due_kind() != DUE_KIND_DOSE) continue;
      Doses& doses = out[id_of(item.subject())];
      if (item.state() == DUE_STATE_DONE) ++(item.outcome() == OUTCOME_GIVEN ? doses.given : doses.otherwise);
      if (item.state() == DUE_STATE_MISSED) ++doses.missed;
      if (item.state() == DUE_STATE_NOT_KNOWN) ++doses.not_known;
    }
  }
  return out;
}

std::vector<MonthLine> lines_of(Client& client, ReportSpan span) {
  Call day;
  day.mutable_collection_day()->set_day(span.last);
  const CollectionDayReply animals = client.call(day).collection_day();
  const std::map<ChangeId, Doses> doses = doses_in(client, span);
  const auto fill = [&](auto& ask, const RecordRef& animal) {
    *ask.mutable_animal() = animal;
    ask.set_first_day(span.first);
    ask.set_last_day(span.last);
  };
  std::vector<MonthLine> out;
  for (const AnimalDay& animal : animals.animals()) {
    MonthLine line;
    line.animal = animal;
    Call intake, trend, body;
    fill(*intake.mutable_intake(), animal.animal());
    fill(*trend.mutable_intake_trend(), animal.animal());
    fill(*body.mutable_body(), animal.animal());
    line.intake = client.call(intake).intake();
    line.trend = client.call(trend).intake_trend();
    line.body = client.call(body).body();
    const auto found = doses.find(id_of(animal.animal()));
    if (found != doses.end()) line.doses = found->second;
    out.push_back(std::move(line));
  }
  return out;
}

std::string count_text(int n) { return n == 0 ? "" : std::to_string(n); }

ReportSection section_of(const std::vector<MonthLine>& lines) {
  ReportSection out{"Animals and groups", {}, {},
                    {"AREA", "ANIMAL", ">HEADS", ">RECORDED", ">COMPLETE", ">MEAN EATEN", ">WITHIN PLAN", ">MASS CHANGE", ">DOSES GIVEN",
                     ">OTHERWISE", ">MISSED", ">NOT KNOWN"}, {}};
  for (const MonthLine& line : lines) {
    const std::string days = std::to_string(line.intake.days_size());
    out.rows.push_back({line.animal.area(), line.animal.animal_name(), line.animal.head_count() > 1 ? std::to_string(line.animal.head_count()) : "",
                        std::to_string(line.intake.days_recorded()) + " of " + days, std::to_string(line.intake.days_complete()),
                        mass(line.intake.has_eaten_mean_mg(), line.intake.eaten_mean_mg()),
                        line.trend.days_with_plan() == 0
                            ? ""
                            : std::to_string(line.trend.days_within_plan()) + " of " + std::to_string(line.trend.days_with_plan()),
                        percent(line.body.has_change_ppm(), line.body.change_ppm()), count_text(line.doses.given),
                        count_text(line.doses.otherwise), count_text(line.doses.missed), count_text(line.doses.not_known)});
  }
  out.notes = {"Recorded: days with a meal in account. Complete: every leftover weighed; the mean is over these. Within plan: of complete "
               "days whose plan states its tolerance. Mass change: from the first to the last weighing of the month.",
               "Doses given, with another outcome (part, refused, held, lost, unknown), missed, and not known here."};
  return out;
}

std::string csv_of(const std::vector<MonthLine>& lines, ReportSpan span) {
  std::string out = csv_line({"first_day", "last_day", "animal", "animal_name", "area", "head_count", "days", "days_recorded", "days_complete",
                              "eaten_mean_mg", "days_with_plan", "days_within_plan", "mass_change_ppm", "doses_given",
                              "doses_otherwise", "doses_missed", "doses_not_known"});
  for (const MonthLine& line : lines)
    out += csv_line({print_day(span.first), print_day(span.last), Names::full_id(line.animal.animal()), csv_cell(line.animal.animal_name()),
                     csv_cell(line.animal.area()), std::to_string(line.animal.head_count()), std::to_string(line.intake.days_size()),
                     std::to_string(line.intake.days_recorded()), std::to_string(line.intake.days_complete()),
                     csv_figure(line.intake.has_eaten_mean_mg(), line.intake.eaten_mean_mg()), std::to_string(line.trend.days_with_plan()),
                     std::to_string(line.trend.days_within_plan()), csv_figure(line.body.has_change_ppm(), line.body.change_ppm()),
                     std::to_string(line.doses.given), std::to_string(line.doses.otherwise), std::to_string(line.doses.missed),
                     std::to_string(line.doses.not_known)});
  return out;
}

void month_json(const std::vector<MonthLine>& lines, ReportSpan span, Client& client) {
  Json json;
  json.object().member("first_day", print_day(span.first)).member("last_day", print_day(span.last));
  json.member("known_as_of_ms", known_as_of(client)).key("animals").array();
  for (const MonthLine& line : lines) {
    json.object().member("animal", Names::full_id(line.animal.animal())).member("animal_name", line.animal.animal_name());
    json.member("days", line.intake.days_size()).member("days_recorded", line.intake.days_recorded());
    json.member("days_complete", line.intake.days_complete());
    if (line.intake.has_eaten_mean_mg()) json.member("eaten_mean_mg", line.intake.eaten_mean_mg());
    json.member("days_with_plan", line.trend.days_with_plan()).member("days_within_plan", line.trend.days_within_plan());
    if (line.body.has_change_ppm()) json.member("mass_change_ppm", line.body.change_ppm());
    json.member("doses_given", line.doses.given).member("doses_otherwise", line.doses.otherwise);
    json.member("doses_missed", line.doses.missed).member("doses_not_known", line.doses.not_known).end();
  }
  print(json.end().end());
}

}  // namespace

Exit report_month(Client& client, const ReportArgs& args) {
  const ReportSpan span = month_of(args.from, client);
  const std::vector<MonthLine> lines = lines_of(client, span);
  Report report;
  report.title = "Month report, " + print_day(span.first) + " to " + print_day(span.last);
  report.sections = {section_of(lines)};
  report.cautions = {kIntakeCaution, kDoseCaution};
  report.csv = csv_of(lines, span);
  show_report(client, report, args);
  if (client.json()) month_json(lines, span, client);
  return Exit::kOk;
}

}  // namespace wrackline::cli
