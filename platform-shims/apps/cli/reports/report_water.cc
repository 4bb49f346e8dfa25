// wrack report water: a pool's readings over some days, property by property, against the limits they were judged by.
#include <algorithm>
#include <map>
#include <set>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/reports/report.h"
#include "cli/reports/water_figures.h"
#include "cli/summary.h"
#include "text/csv.h"
#include "text/message_schema.h"
#include "text/value_units.h"

namespace wrackline::cli {
namespace {

struct Water {
  RecordRef pool;
  std::string name;
  ReportSpan span;
  WaterReply reply;
  std::map<ChangeId, RecordView> readings;    // The readings behind the points.
  std::map<ChangeId, LimitOfWater> limits;    // The limits that can hold for the pool.
};

Water water_of(Client& client, Names& names, const ReportArgs& args) {
  Water w;
  w.pool = names.find("pool", args.subject);
  w.name = names.name_of(w.pool);
  w.span = report_span(client, args.from, args.to, 28);
  Call call;
  WaterCall& ask = *call.mutable_water();
  *ask.mutable_pool() = w.pool;
  ask.set_first_day(w.span.first);
  ask.set_last_day(w.span.last);
  w.reply = client.call(call).water();
  for (RecordView& view : client.list(kind_number("water_reading"), w.pool, {w.span.first, w.span.last})) {
    const ChangeId id = id_of(view.record());
    w.readings.emplace(id, std::move(view));
  }
  for (LimitOfWater& limit : limits_of(client, w.pool)) {
    const ChangeId id = id_of(limit.first);
    w.limits.emplace(id, std::move(limit));
  }
  return w;
}

// Makes a heading of it: "Oxygen saturation", "pH".
std::string heading_of(Parameter parameter) {
  std::string text = parameter_text(parameter);
  if (parameter != PARAMETER_PH && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

// A limit holds all day long, whether or not anything was read.
SvgSeries limit_line(const std::string& name, std::int64_t value, ReportSpan span) {
  SvgSeries out{name, SvgStroke::kDashed, SvgMark::kNone, true, {}};
  for (Day day = span.first; day <= span.last; ++day) out.points.push_back({day, value});
  return out;
}

SvgChart chart_of(const Water& w, Parameter parameter, const std::vector<const WaterPoint*>& points) {
  SvgChart chart;
  chart.title = heading_of(parameter) + ": " + w.name;
  chart.description = "Readings of " + parameter_text(parameter) + " against their limits. Days without a reading are gaps. " +
                      print_day(w.span.first) + " to " + print_day(w.span.last) + ".";
  chart.first_day = w.span.first;
  chart.last_day = w.span.last;
  chart.from_zero = false;
  set_axis(chart, unit_of_parameter(parameter));
  SvgSeries read{"read", SvgStroke::kSolid, SvgMark::kDot, false, {}};
  SvgSeries outside{"outside its limit", SvgStroke::kNone, SvgMark::kTriangle, false, {}};
  SvgSeries disagrees{"in disagreement, one of its values", SvgStroke::kNone, SvgMark::kRing, false, {}};
  std::set<ChangeId> judged_by;
  for (const WaterPoint* p : points) {
    const SvgPoint point{p->day(), p->value()};
    read.points.push_back(point);
    if (p->judgement() == JUDGEMENT_ABOVE || p->judgement() == JUDGEMENT_BELOW) outside.points.push_back(point);
    if (p->disagrees()) disagrees.points.push_back(point);
    if (p->has_limit()) judged_by.insert(id_of(p->limit()));
  }
  // The lines the readings were held against, and no others.
  for (const ChangeId& id : judged_by) {
    const auto at = w.limits.find(id);
    if (at == w.limits.end()) continue;
    const WaterLimit& limit = at->second.second;
    const std::string more = limit.unverified() ? " (unverified)" : "";
    if (limit.has_low()) chart.series.push_back(limit_line("low limit" + more, limit.low(), w.span));
    if (limit.has_high()) chart.series.push_back(limit_line("high limit" + more, limit.high(), w.span));
  }
  for (SvgSeries* s : {&read, &outside, &disagrees}) chart.series.push_back(std::move(*s));
  return chart;
}

ReportSection section_of(const Water& w, Parameter parameter, const std::vector<const WaterPoint*>& points, Client& client,
                         Names& names) {
  ReportSection out{heading_of(parameter), {}, svg_text(chart_of(w, parameter, points)),
                    {"AT", ">VALUE", "AGAINST THE LIMIT", "HOW", "BY", "RECORD", "STANDING"}, {}};
  std::set<Day> days;
  int outside = 0;
  bool judged = true;
  for (const WaterPoint* p : points) {
    days.insert(p->day());
    outside += p->judgement() == JUDGEMENT_ABOVE || p->judgement() == JUDGEMENT_BELOW ? 1 : 0;
    judged = judged && p->has_limit();
    const auto at = w.readings.find(id_of(p->record()));
    WaterReading reading;
    if (at != w.readings.end()) reading.ParseFromString(at->second.fields());
    const std::string how = reading.instrument() + (reading.instrument().empty() || reading.method().empty() ? "" : ", ") + reading.method();
    out.rows.push_back({water_time(client, p->day(), p->happened_ms()), (p->disagrees() ? "*" : "") + reading_text(parameter, p->value()),
                        judgement_text(p->judgement(), p->unverified_limit()), how,
                        at == w.readings.end() ? "" : author_text(at->second, client, names), names.short_id(p->record()),
                        at == w.readings.end() ? "" : standing_text(at->second, names)});
  }
  out.notes.push_back("Read on " + std::to_string(days.size()) + " of " + std::to_string(w.span.last - w.span.first + 1) + " days, " +
                      std::to_string(points.size()) + (points.size() == 1 ? " reading; " : " readings; ") +
                      (outside == 0 ? (judged ? "none outside the limit." : "no limit is known for some or all of them.")
                                    : std::to_string(outside) + " outside the limit."));
  if (std::any_of(points.begin(), points.end(), [](const WaterPoint* p) { return p->disagrees(); }))
    out.notes.push_back("* in disagreement; one of its values is shown until the officer has spoken (`wrack review`).");
  return out;
}

std::vector<ReportSection> sections_of(const Water& w, Client& client, Names& names) {
  std::map<Parameter, std::vector<const WaterPoint*>> points;
  for (const WaterPoint& p : w.reply.points()) points[p.parameter()].push_back(&p);
  std::vector<ReportSection> out;
  if (w.reply.refused_size() > 0) out.push_back({"Figures that could not be had", refused_sentences(w.reply, client), {}, {}, {}});
  out.push_back({"What is overdue now", overdue_sentences(w.reply, client), {}, {}, {}});
  if (points.empty()) out.push_back({"Readings", {"No reading is recorded in these days."}, {}, {}, {}});
  for (const auto& [parameter, of] : points) out.push_back(section_of(w, parameter, of, client, names));
  DerivedTable derived = derived_table(w.reply, client);
  out.push_back({"What the readings tell together", std::move(derived.formulas), {}, kDerivedTitles, std::move(derived.rows)});
  ReportSection limits{"Limits", {}, {}, limit_titles(), {}};
  for (const LimitOfWater& row : limits_of(client, w.pool)) limits.rows.push_back(limit_row(row, names));
  limits.notes.push_back(limits.rows.empty() ? "No limit is recorded for this pool." : "A pool's own row stands before one of every pool.");
  out.push_back(std::move(limits));
  return out;
}

// A line a reading, in the unit of --json.
std::string csv_of(const Water& w, Client& client, Names& names) {
  std::string out = csv_line({"day", "happened_ms", "parameter", "value", "judgement", "low", "high", "limit_unverified", "disagrees",
                              "record", "by"});
  for (const WaterPoint& p : w.reply.points()) {
    const auto limit = w.limits.find(id_of(p.limit()));
    const auto reading = w.readings.find(id_of(p.record()));
    const WaterLimit row = limit == w.limits.end() ? WaterLimit() : limit->second.second;
    out += csv_line({print_day(p.day()), csv_figure(p.happened_ms() != 0, p.happened_ms()), parameter_word(p.parameter()),
                     std::to_string(p.value()), judgement_word(p.judgement()), csv_figure(row.has_low(), row.low()),
                     csv_figure(row.has_high(), row.high()), p.has_limit() ? (p.unverified_limit() ? "yes" : "no") : "",
                     p.disagrees() ? "yes" : "no", Names::full_id(p.record()),
                     reading == w.readings.end() ? "" : csv_cell(author_text(reading->second, client, names))});
  }
  return out;
}

}  // namespace

Exit report_water(Client& client, const ReportArgs& args) {
  Names names(client);
  const Water w = water_of(client, names, args);
  Report report;
  report.title = "Water of " + w.name + ", " + print_day(w.span.first) + " to " + print_day(w.span.last);
  report.sections = sections_of(w, client, names);
  report.cautions = {kWaterCaution};
  report.csv = csv_of(w, client, names);
  show_report(client, report, args);
  if (client.json()) {
    Json json;
    json.object().member("pool", Names::full_id(w.pool)).member("pool_name", w.name);
    json.member("first_day", print_day(w.span.first)).member("last_day", print_day(w.span.last));
    json.member("known_as_of_ms", known_as_of(client));
    water_json(json, w.reply);
    print(json.end());
  }
  return Exit::kOk;
}

}  // namespace wrackline::cli
