// wrack report animal: an animal's history over some days.
#include <map>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/doubts.h"
#include "cli/record_fields.h"
#include "cli/reports/intake_figures.h"
#include "cli/reports/report.h"
#include "cli/summary.h"
#include "records.pb.h"
#include "text/message_schema.h"
#include "text/quantity.h"
#include "text/svg.h"

namespace wrackline::cli {
namespace {

struct History {
  RecordRef animal;
  std::string name;
  ReportSpan span;
  IntakeReply intake;
  IntakeTrendReply trend;
  std::vector<std::string> doubts;
  std::vector<RecordView> measures, doses, observations, moves, tags;
};

std::int64_t whole(std::uint64_t v) { return static_cast<std::int64_t>(v); }

// The doses in the order in which they happened, through all orders of the animal.
std::vector<RecordView> doses_of(Client& client, const RecordRef& animal, ReportSpan span) {
  std::multimap<WallMs, RecordView> by_time;
  for (const RecordView& order : client.list(kind_number("treatment_order"), animal, {}, true)) {
    for (RecordView& view : in_account(client.list(kind_number("administration"), order.record(), {span.first, span.last}))) {
      Administration dose;
      if (dose.ParseFromString(view.fields())) by_time.emplace(dose.happened_ms(), std::move(view));
    }
  }
  std::vector<RecordView> out;
  for (auto& [at, view] : by_time) out.push_back(std::move(view));
  return out;
}

History history_of(Client& client, Names& names, const ReportArgs& args) {
  History h;
  h.animal = names.find("animal", args.subject);
  h.name = names.name_of(h.animal);
  h.span = report_span(client, args.from, args.to, 28);
  Call call;
  IntakeCall& intake = *call.mutable_intake();
  *intake.mutable_animal() = h.animal;
  intake.set_first_day(h.span.first);
  intake.set_last_day(h.span.last);
  h.intake = client.call(call).intake();
  h.doubts = unsettled_intake_sentences(intake.animal(), intake.first_day(), intake.last_day(), true, asks(client, false));
  Call trend_call;
  IntakeTrendCall& trend = *trend_call.mutable_intake_trend();
  *trend.mutable_animal() = h.animal;
  trend.set_first_day(h.span.first);
  trend.set_last_day(h.span.last);
  h.trend = client.call(trend_call).intake_trend();
  const auto events = [&](const char* kind) {
    return in_account(client.list(kind_number(kind), h.animal, {h.span.first, h.span.last}));
  };
  h.measures = events("measure");
  h.observations = events("observation");
  h.moves = events("move");
  h.tags = in_account(client.list(kind_number("tag"), h.animal));
  h.doses = doses_of(client, h.animal, h.span);
  return h;
}

// Kilograms, or grams where nothing reaches one.
void set_mass_axis(SvgChart& chart) {
  std::int64_t most = 0;
  for (const SvgSeries& s : chart.series)
    for (const SvgPoint& p : s.points) most = std::max(most, p.value);
  chart.unit = most < 1'000'000 ? "g" : "kg";
  chart.decimals = most < 1'000'000 ? 3 : 6;
}

SvgChart chart_over(const History& h, const std::string& what, const std::string& description) {
  SvgChart chart;
  chart.title = what + " " + h.name;
  chart.description = description + " " + print_day(h.span.first) + " to " + print_day(h.span.last) + ".";
  chart.first_day = h.span.first;
  chart.last_day = h.span.last;
  return chart;
}

ReportSection intake_section(const History& h) {
  ReportSection out{"Intake against plan", {}, {},
                    {"DAY", ">MEALS", ">OFFERED", ">LEFT", ">EATEN", ">PLANNED", ">OF PLAN", ">OF BODY", ">ENERGY"}, {}};
  SvgSeries plan{"planned", SvgStroke::kDashed, SvgMark::kNone, true, {}};
  SvgSeries eaten{"eaten, every leftover weighed", SvgStroke::kSolid, SvgMark::kDot, false, {}};
  SvgSeries part{"eaten of what was weighed; the rest not known", SvgStroke::kNone, SvgMark::kRing, false, {}};
  bool unweighed = false;
  for (const IntakeDay& d : h.intake.days()) {
    if (d.has_planned_mg()) plan.points.push_back({d.day(), whole(d.planned_mg())});
    const bool open = d.portions_unweighed() > 0;
    if (d.has_eaten_mg()) (open ? part : eaten).points.push_back({d.day(), d.eaten_mg()});
    unweighed = unweighed || open;
    out.rows.push_back({print_day(d.day()), d.recorded() ? std::to_string(d.meals()) : "unrecorded",
                        mass(d.has_offered_mg(), whole(d.offered_mg())), mass(d.has_left_mg(), whole(d.left_mg())),
                        (open && d.has_eaten_mg() ? "*" : "") + mass(d.has_eaten_mg(), d.eaten_mg()),
                        mass(d.has_planned_mg(), whole(d.planned_mg())), percent(d.has_plan_ppm(), d.plan_ppm()),
                        percent(d.has_body_mass_ppm(), d.body_mass_ppm()), energy(d.has_energy_cal(), d.energy_cal())});
  }
  std::string sum = std::to_string(h.intake.days_recorded()) + " of " + std::to_string(h.intake.days_size()) +
                    " days recorded, " + std::to_string(h.intake.days_complete()) + " with every leftover weighed";
  if (h.intake.has_eaten_mean_mg())
    sum += "; over these: mean " + mass(true, h.intake.eaten_mean_mg()) + ", median " +
           mass(h.intake.has_eaten_median_mg(), h.intake.eaten_median_mg()) + " eaten a day";
  out.notes.push_back(sum + ".");
  if (unweighed) out.notes.push_back("* of the portions whose leftover was weighed; of the others it is not known what was eaten.");
  for (const std::string& doubt : h.doubts) out.notes.push_back("To be settled, " + doubt + ".");
  SvgChart chart = chart_over(h, "Eaten a day:", "Food eaten a day against the plan. Days not recorded are gaps.");
  chart.series = {plan, eaten, part};
  set_mass_axis(chart);
  out.chart = svg_text(chart);
  return out;
}

ReportSection control_section(const History& h) {
  ReportSection out{"Control chart of the intake", {}, {}, {"DAY", ">EATEN", ">MOVING MEAN", ">LOW LIMIT", ">HIGH LIMIT", "MARKED"}, {}};
  if (!h.trend.has_baseline_mg()) {
    out.notes.push_back("No control chart: the first half of the complete days must have eight of them.");
    return out;
  }
  SvgSeries low{"limits", SvgStroke::kDotted, SvgMark::kNone, false, {}};
  SvgSeries high = low;
  SvgSeries base{"baseline", SvgStroke::kDashed, SvgMark::kNone, true, {}};
  SvgSeries mean{"moving mean (EWMA)", SvgStroke::kSolid, SvgMark::kNone, false, {}};
  SvgSeries eaten{"eaten", SvgStroke::kNone, SvgMark::kDot, false, {}};
  SvgSeries alarm{"alarm", SvgStroke::kNone, SvgMark::kTriangle, false, {}};
  SvgSeries outlier{"outlier", SvgStroke::kNone, SvgMark::kRing, false, {}};
  high.name.clear();
  int alarms = 0;
  for (const ChartPoint& p : h.trend.points()) {
    base.points.push_back({p.day(), h.trend.baseline_mg()});
    if (p.has_judged_mg()) eaten.points.push_back({p.day(), p.judged_mg()});
    if (p.has_ewma_mg()) mean.points.push_back({p.day(), p.ewma_mg()});
    if (p.has_low_mg()) low.points.push_back({p.day(), p.low_mg()});
    if (p.has_high_mg()) high.points.push_back({p.day(), p.high_mg()});
    if (p.outlier() && p.has_judged_mg()) outlier.points.push_back({p.day(), p.judged_mg()});
    if (p.alarm() && p.has_ewma_mg()) alarm.points.push_back({p.day(), p.ewma_mg()});
    alarms += p.alarm() ? 1 : 0;
    out.rows.push_back({print_day(p.day()), p.has_eaten_mg() ? mass(true, p.eaten_mg()) : "not known", mass(p.has_ewma_mg(), p.ewma_mg()),
                        mass(p.has_low_mg(), p.low_mg()), mass(p.has_high_mg(), p.high_mg()),
                        std::string(p.alarm() ? "alarm" : "") + (p.alarm() && p.outlier() ? ", " : "") + (p.outlier() ? "outlier" : "")});
  }
  out.notes.push_back("Baseline: the first half of the complete days, " + mass(true, h.trend.baseline_mg()) + " a day, standard deviation " +
                      mass(h.trend.has_baseline_sd_mg(), whole(h.trend.baseline_sd_mg())) + ". Days with an alarm: " +
                      std::to_string(alarms) + ". An alarm says that the appetite moved, not why: look at the animal, ask the vet.");
  if (h.trend.has_usual_plan_mg())
    out.notes.push_back("Judged by the plan: the chart shows what was eaten for each gram planned, as of a day with the usual plan of " +
                        mass(true, h.trend.usual_plan_mg()) + "; of a day without a plan what was eaten.");
  SvgChart chart = chart_over(h, "Control chart:", "Moving mean of what was eaten, with its limits and alarms. Days not wholly weighed are gaps.");
  chart.series = {low, high, base, mean, eaten, outlier, alarm};
  set_mass_axis(chart);
  out.chart = svg_text(chart);
  return out;
}

ReportSection mass_section(const History& h, Client& client, Names& names) {
  ReportSection out{"Measures of the body", {}, {}, {"WHEN", "WHAT", "BY", "RECORD", "STANDING"}, {}};
  SvgSeries masses{"body mass", SvgStroke::kNone, SvgMark::kDot, false, {}};
  for (const RecordView& view : h.measures) {
    Measure m;
    if (!m.ParseFromString(view.fields())) continue;
    if (m.quantity() == QUANTITY_MASS && m.has_value()) masses.points.push_back({m.day(), whole(m.value())});
    out.rows.push_back({when_of(m, client.zone()), event_text(view, client, names), author_text(view, client, names),
                        names.short_id(view.record()), standing_text(view, names)});
  }
  SvgChart chart = chart_over(h, "Body mass:", "Body mass at each weighing. Nothing is drawn between weighings.");
  chart.from_zero = false;
  chart.series = {masses};
  set_mass_axis(chart);
  out.chart = svg_text(chart);
  return out;
}

ReportSection doses_section(const History& h, Client& client, Names& names) {
  ReportSection out{"Doses recorded", {}, {}, {"WHEN", "ORDER", "DUE", "WHAT CAME OF IT", "BY", "RECORD", "STANDING"}, {}};
  for (const RecordView& view : h.doses) {
    Administration dose;
    if (!dose.ParseFromString(view.fields())) continue;
    out.rows.push_back({when_of(dose, client.zone()), names.name_of(dose.order()),
                        (dose.has_due_day() ? print_day(dose.due_day()) : "") +
                            (dose.has_due_slot_min() ? " " + print_quantity(Unit::kClockMin, dose.due_slot_min()) : ""),
                        event_text(view, client, names), author_text(view, client, names), names.short_id(view.record()),
                        standing_text(view, names)});
  }
  if (!out.rows.empty())
    out.notes.push_back("What was due and is not recorded stands in `wrack report treatments " + h.name + "`.");
  return out;
}

template <typename Event>
ReportSection events_section(const char* heading, const std::vector<RecordView>& views, Client& client, Names& names) {
  ReportSection out{heading, {}, {}, {"WHEN", "WHAT", "BY", "RECORD", "STANDING"}, {}};
  for (const RecordView& view : views) {
    Event event;
    if (!event.ParseFromString(view.fields())) continue;
    out.rows.push_back({when_of(event, client.zone()), event_text(view, client, names), author_text(view, client, names),
                        names.short_id(view.record()), standing_text(view, names)});
  }
  return out;
}

ReportSection tags_section(const History& h, Client& client, Names& names) {
  ReportSection out{"Tags", {}, {}, {"WHAT", "RECORD", "STANDING"}, {}};
  for (const RecordView& view : h.tags)
    out.rows.push_back({record_summary(view, client, names, {"animal"}), names.short_id(view.record()), standing_text(view, names)});
  return out;
}

// Bare numbers in milligrams, calories and parts per million, as in --json. An empty cell is not known.
std::string csv_of(const IntakeReply& reply) {
  std::string out = csv_line({"day", "recorded", "meals", "portions_unweighed", "offered_mg", "left_mg", "eaten_mg", "planned_mg",
                              "plan_ppm", "body_mass_ppm", "energy_cal"});
  for (const IntakeDay& d : reply.days())
    out += csv_line({print_day(d.day()), d.recorded() ? "yes" : "no", csv_figure(d.recorded(), d.meals()),
                     csv_figure(d.recorded(), d.portions_unweighed()), csv_figure(d.has_offered_mg(), d.offered_mg()),
                     csv_figure(d.has_left_mg(), d.left_mg()), csv_figure(d.has_eaten_mg(), d.eaten_mg()),
                     csv_figure(d.has_planned_mg(), d.planned_mg()), csv_figure(d.has_plan_ppm(), d.plan_ppm()),
                     csv_figure(d.has_body_mass_ppm(), d.body_mass_ppm()), csv_figure(d.has_energy_cal(), d.energy_cal())});
  return out;
}

void history_json(const History& h, Client& client, Names& names) {
  Json json;
  json.object().member("animal", Names::full_id(h.animal)).member("animal_name", h.name);
  json.member("first_day", print_day(h.span.first)).member("last_day", print_day(h.span.last));
  json.member("known_as_of_ms", known_as_of(client)).key("days").array();
  for (const IntakeDay& d : h.intake.days()) day_json(json, d);
  json.end().key("chart").array();
  for (const ChartPoint& p : h.trend.points()) {
    json.object().member("day", print_day(p.day()));
    if (p.has_eaten_mg()) json.member("eaten_mg", p.eaten_mg());
    if (p.has_judged_mg()) json.member("judged_mg", p.judged_mg());
    if (p.has_ewma_mg()) json.member("ewma_mg", p.ewma_mg());
    if (p.has_low_mg()) json.member("low_mg", p.low_mg());
    if (p.has_high_mg()) json.member("high_mg", p.high_mg());
    json.member("alarm", p.alarm()).member("outlier", p.outlier()).end();
  }
  json.end();
  const auto records = [&](const char* key, const std::vector<RecordView>& views) {
    json.key(key).array();
    for (const RecordView& view : views) record_json(json, view, names, client);
    json.end();
  };
  records("measures", h.measures);
  records("doses", h.doses);
  records("observations", h.observations);
  records("moves", h.moves);
  records("tags", h.tags);
  json.key("to_be_settled").array();
  for (const std::string& doubt : h.doubts) json.text(doubt);
  print(json.end().end());
}

}  // namespace

Exit report_animal(Client& client, const ReportArgs& args) {
  Names names(client);
  const History h = history_of(client, names, args);
  Report report;
  report.title = "History of " + h.name + (h.intake.head_count() > 1 ? ", " + std::to_string(h.intake.head_count()) + " heads together" : "") +
                 ", " + print_day(h.span.first) + " to " + print_day(h.span.last);
  report.sections = {intake_section(h), control_section(h), mass_section(h, client, names), doses_section(h, client, names),
                     events_section<Observation>("What was seen", h.observations, client, names),
                     events_section<Move>("Moves", h.moves, client, names), tags_section(h, client, names)};
  report.cautions = {kIntakeCaution};
  if (!h.doses.empty()) report.cautions.push_back(kDoseCaution);
  report.csv = csv_of(h.intake);
  show_report(client, report, args);
  if (client.json()) history_json(h, client, names);
  return Exit::kOk;
}

}  // namespace wrackline::cli
