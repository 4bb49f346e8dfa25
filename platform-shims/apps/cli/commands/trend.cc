// wrack trend: how an animal eats over a span. Figures are the core's; the hub's replica prints the same
// bytes.
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/doubts.h"
#include "cli/span.h"
#include "text/decimal.h"
#include "text/figures.h"
#include "text/quantity.h"

namespace wrackline::cli {
namespace {

struct TrendArgs {
  SpanArgs span;
  std::string step;
};

constexpr const char* kWeekdayNames[] = {"Monday", "Tuesday",  "Wednesday", "Thursday",
                                         "Friday", "Saturday", "Sunday"};

std::string weekday_name(std::uint32_t weekday) { return weekday < 7 ? kWeekdayNames[weekday] : ""; }

std::string mass(bool has, std::int64_t mg) { return has ? mass_figure(mg) : ""; }

std::string means_text(const IntakeTrendReply& r, Day last_day) {
  Table table({"MEAN OF", ">DAYS COUNTED", ">EATEN A DAY", ">MEDIAN"});
  for (const WindowMean& w : r.windows())
    table.row({std::to_string(w.days()) + " days to " + print_day(last_day), std::to_string(w.counted()),
               mass(w.has_eaten_mean_mg(), w.eaten_mean_mg()), ""});
  for (const WeekdayFigures& w : r.weekdays())
    table.row({weekday_name(w.weekday()), std::to_string(w.counted()),
               mass(w.has_eaten_mean_mg(), w.eaten_mean_mg()),
               mass(w.has_eaten_median_mg(), w.eaten_median_mg())});
  return table.str() + "\n";
}

std::string charts_text(const IntakeTrendReply& r) {
  std::string out;
  Table table({"MARKED DAY", ">EATEN", ">JUDGED AS", ">MOVING MEAN", ">LOW LIMIT", ">HIGH LIMIT", "MARK"});
  for (const ChartPoint& p : r.points()) {
    if (!p.alarm() && !p.outlier()) continue;
    table.row({print_day(p.day()), mass(p.has_eaten_mg(), p.eaten_mg()),
               r.has_usual_plan_mg() ? mass(p.has_judged_mg(), p.judged_mg()) : "",
               mass(p.has_ewma_mg(), p.ewma_mg()),
               mass(p.has_low_mg(), p.low_mg()), mass(p.has_high_mg(), p.high_mg()),
               p.alarm() && p.outlier() ? "alarm, outlier"
               : p.alarm()              ? "alarm"
                                        : "outlier"});
  }
  if (!table.empty()) out += table.str() + "\n";
  if (r.has_usual_plan_mg())
    out += wrapped_lines("Judged by the plan: what was eaten for each gram planned, as of a day with the usual plan of " +
                         mass_figure(r.usual_plan_mg()) + "; a day without a plan by what was eaten.");
  if (r.has_baseline_mg())
    out += wrapped_lines(
        "Charts: against a mean of " + mass_figure(r.baseline_mg()) + " with a standard deviation of " +
        mass_figure(static_cast<std::int64_t>(r.baseline_sd_mg())) +
        ", those of the first half of the complete days. Alarm: the exponentially weighted moving mean left "
        "its limits, or the cumulative sum passed its own. Outlier: far from the days around it.");
  else
    out += wrapped_lines(
        "Charts: none; they need 16 complete days that differ. Outlier: far from the days around it.");
  return table.empty() ? out + "No day is marked.\n" : out;
}

std::string sentences_text(const IntakeTrendReply& r) {
  std::string out = "Trend: ";
  out += r.has_trend_z_thousandths() ? trend_words(r.trend_z_thousandths()) + ", Mann-Kendall"
                                     : "not enough days to tell";
  if (r.has_trend_mg_per_week())
    out += std::string("; ") + (rounded(r.trend_mg_per_week(), 1000) > 0 ? "+" : "") +
           mass_figure(r.trend_mg_per_week()) + " a week, Theil-Sen";
  std::string text = wrapped_lines(out + ".");
  if (r.days_with_plan() > 0)
    text += wrapped_lines("Within the plan's tolerance: " + std::to_string(r.days_within_plan()) + " of " +
                          std::to_string(r.days_with_plan()) + " complete days whose plan states one.");
  if (r.has_ration_mg())
    text += wrapped_lines("Really eaten: " + mass_figure(static_cast<std::int64_t>(r.ration_mg())) +
                          " a day (median, rounded to the scale's step), the middle half of the days " +
                          mass_figure(static_cast<std::int64_t>(r.ration_low_mg())) + " to " +
                          mass_figure(static_cast<std::int64_t>(r.ration_high_mg())) +
                          ". Information for the vet or nutritionist, never applied by itself.");
  if (r.has_calcium_per_phosphorus_thousandths())
    text += wrapped_lines("Calcium to phosphorus of all that was eaten: " +
                          print_decimal(rounded(r.calcium_per_phosphorus_thousandths(), 10), 3) +
                          " : 1 by mass.");
  return text;
}

std::string text_of(const IntakeTrendReply& r, const IntakeTrendCall& span, const std::string& animal,
                    const std::vector<std::string>& notes) {
  std::string out =
      wrapped_lines("Intake of " + animal + " over time" +
                    (r.head_count() > 1 ? ", " + std::to_string(r.head_count()) + " heads together" : "") +
                    ", " + print_day(span.first_day()) + " to " + print_day(span.last_day()) + "; " +
                    std::to_string(r.days_complete()) + " of " + std::to_string(r.points_size()) +
                    " days complete") +
      "\n";
  out += means_text(r, span.last_day()) + charts_text(r) + sentences_text(r);
  for (const std::string& note : notes) out += wrapped_lines("To be settled, " + note + ".");
  return out + wrapped_lines(kTrendCaution);
}

void point_json(Json& json, const ChartPoint& p) {
  json.object().member("day", print_day(p.day()));
  if (p.has_eaten_mg()) json.member("eaten_mg", p.eaten_mg());
  if (p.has_judged_mg()) json.member("judged_mg", p.judged_mg());
  if (p.has_ewma_mg()) json.member("ewma_mg", p.ewma_mg());
  if (p.has_low_mg()) json.member("low_mg", p.low_mg());
  if (p.has_high_mg()) json.member("high_mg", p.high_mg());
  if (p.has_cusum_high_mg()) json.member("cusum_high_mg", p.cusum_high_mg());
  if (p.has_cusum_low_mg()) json.member("cusum_low_mg", p.cusum_low_mg());
  json.member("alarm", p.alarm()).member("outlier", p.outlier()).end();
}

Json json_of(const IntakeTrendReply& r, const IntakeTrendCall& span, const std::vector<std::string>& notes) {
  Json json;
  json.object().member("animal", Names::full_id(span.animal())).member("head_count", r.head_count());
  json.member("days_complete", r.days_complete());
  json.member("days_with_plan", r.days_with_plan()).member("days_within_plan", r.days_within_plan());
  if (r.has_usual_plan_mg()) json.member("usual_plan_mg", r.usual_plan_mg());
  if (r.has_baseline_mg()) json.member("baseline_mg", r.baseline_mg());
  if (r.has_baseline_sd_mg()) json.member("baseline_sd_mg", r.baseline_sd_mg());
  if (r.has_trend_z_thousandths()) json.member("trend_z_thousandths", r.trend_z_thousandths());
  if (r.has_trend_mg_per_week()) json.member("trend_mg_per_week", r.trend_mg_per_week());
  if (r.has_ration_mg()) json.member("ration_mg", r.ration_mg());
  if (r.has_ration_low_mg()) json.member("ration_low_mg", r.ration_low_mg());
  if (r.has_ration_high_mg()) json.member("ration_high_mg", r.ration_high_mg());
  if (r.has_calcium_per_phosphorus_thousandths())
    json.member("calcium_per_phosphorus_thousandths", r.calcium_per_phosphorus_thousandths());
  json.key("windows").array();
  for (const WindowMean& w : r.windows()) {
    json.object().member("days", w.days()).member("counted", w.counted());
    if (w.has_eaten_mean_mg()) json.member("eaten_mean_mg", w.eaten_mean_mg());
    json.end();
  }
  json.end().key("weekdays").array();
  for (const WeekdayFigures& w : r.weekdays()) {
    json.object().member("weekday", w.weekday()).member("counted", w.counted());
    if (w.has_eaten_mean_mg()) json.member("eaten_mean_mg", w.eaten_mean_mg());
    if (w.has_eaten_median_mg()) json.member("eaten_median_mg", w.eaten_median_mg());
    json.end();
  }
  json.end().key("points").array();
  for (const ChartPoint& p : r.points()) point_json(json, p);
  json.end().key("to_be_settled").array();
  for (const std::string& note : notes) json.text(note);
  json.end().end();
  return json;
}

Exit trend(Client& client, const TrendArgs& args) {
  Names names(client);
  Call call;
  IntakeTrendCall& span = *call.mutable_intake_trend();
  set_span(span, args.span, client, names);
  if (!args.step.empty()) {
    const std::int64_t step_mg = typed(parse_quantity(Unit::kMassMg, args.step));
    if (step_mg <= 0) throw usage("\"" + args.step + "\" is no step of a scale; write it like 5g");
    span.set_step_mg(static_cast<std::uint64_t>(step_mg));
  }
  const Ask ask = asks(client, args.span.hub);
  const IntakeTrendReply reply = ask(call).intake_trend();
  const std::vector<std::string> notes =
      unsettled_intake_sentences(span.animal(), span.first_day(), span.last_day(), false, ask);
  if (client.json())
    print(json_of(reply, span, notes));
  else
    print(text_of(reply, span, names.name_of(span.animal()), notes));
  return Exit::kOk;
}

}  // namespace

void add_trend_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<TrendArgs>();
  CLI::App* c = app.add_subcommand(
      "trend", "How an animal eats over time: means, marked days, trend, what it really eats");
  c->group("Records officer");
  add_span_options(c, args->span);
  add_hub_option(c, args->span);
  c->add_option("--step", args->step, "Step of the scale that masses are rounded to: 5g; without it 10g");
  c->footer(kTrendCaution);
  runs(c, chosen, args, trend);
}

}  // namespace wrackline::cli
