// wrack train, wrack training: a session of one cue with the food given in it, and how training goes.
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/weighing.h"
#include "cli/record_fields.h"
#include "cli/span.h"
#include "records.pb.h"
#include "text/decimal.h"
#include "text/figures.h"
#include "text/message_schema.h"

namespace wrackline::cli {
namespace {

struct TrainArgs {
  std::string animal, cue, trials, successes, minutes, at, note;
  std::vector<std::string> foods;
};

Exit train(Client& client, const TrainArgs& args) {
  Names names(client);
  Call call = client.authored();
  LogCall& log = *call.mutable_log();
  const RecordRef animal = names.find("animal", args.animal);
  const When when = client.event_time(args.at);
  const MessagePtr fields = blank(kind_typed("training_session"));
  set_field(*fields, "trials", args.trials, client, names);
  set_field(*fields, "successes", args.successes, client, names);
  if (!args.minutes.empty()) set_field(*fields, "minutes", args.minutes, client, names);
  TrainingSession session;
  session.ParseFromString(fields->SerializeAsString());
  *session.mutable_animal() = animal;
  *session.mutable_cue() = names.find("cue", args.cue);
  session.set_day(when.day);
  set_time(session, when);
  session.set_note(args.note);
  NewRecord* record = log.add_records();
  record->set_kind(kind_number("training_session"));
  record->set_fields(session.SerializeAsString());

  if (!args.foods.empty()) {
    Meal meal;
    *meal.mutable_animal() = animal;
    meal.set_day(when.day);
    set_time(meal, when);
    meal.set_purpose(PURPOSE_TRAINING);
    record = log.add_records();
    record->set_kind(kind_number("meal"));
    record->set_fields(meal.SerializeAsString());
    Link* link = record->add_links();
    link->set_field(Meal::kSessionFieldNumber);
    link->set_record(0);
    for (const std::string& food : args.foods) *log.add_records() = portion_typed(food, 1, client, names);
  }
  const Reply reply = client.call(call);
  return tell_logged(client, names, log, reply.log());
}

std::string text_of(const TrainingReply& r, const TrainingCall& span, const std::string& animal) {
  std::string out = "Training of " + animal + ", " + print_day(span.first_day()) + " to " +
                    print_day(span.last_day()) + "\n\n";
  Table table({"CUE", ">SESSIONS", ">TRIALS", ">SUCCESS", "95 % INTERVAL", "TREND", ">A WEEK", "LAST DAY"});
  std::uint32_t uncounted = 0;
  for (const CueFigures& c : r.cues()) {
    uncounted += c.sessions() - c.sessions_counted();
    // In points of per cent, which are not per cent of the share.
    const std::int64_t slope = rounded(c.slope_ppm_per_week(), 1000);
    table.row({c.name(), std::to_string(c.sessions()), std::to_string(c.trials()),
               c.has_success_ppm() ? percent_figure(c.success_ppm()) : "",
               c.has_low_ppm() && c.has_high_ppm() ? interval_figure(c.low_ppm(), c.high_ppm()) : "",
               c.has_trend_z_thousandths() ? trend_words(c.trend_z_thousandths()) : "not enough yet",
               c.has_slope_ppm_per_week() ? (slope > 0 ? "+" : "") + print_decimal(slope, 4) + " points" : "",
               print_day(c.last_day())});
  }
  out += table.empty() ? "No session is recorded.\n" : table.str() + "\n";
  if (uncounted > 0)
    out += "Sessions without counted trials: " + std::to_string(uncounted) + "; they are in SESSIONS only.\n";
  out += "Food offered in training: " + mass_figure(static_cast<std::int64_t>(r.food_mg())) +
         ", part of the intake.\n";
  return out +
         wrapped_lines(
             "Interval by Wilson; trials of one session lean on each other, so the true one is wider. Trend "
             "by "
             "Mann-Kendall over the sessions, from four on; under about ten it is a rough guide.") +
         wrapped_lines(kTrainingCaution);
}

Json json_of(const TrainingReply& r, const TrainingCall& span) {
  Json json;
  json.object().member("animal", Names::full_id(span.animal()));
  json.member("first_day", print_day(span.first_day())).member("last_day", print_day(span.last_day()));
  json.key("cues").array();
  for (const CueFigures& c : r.cues()) {
    json.object().member("cue", Names::full_id(c.cue())).member("name", c.name());
    json.member("sessions", c.sessions()).member("sessions_counted", c.sessions_counted());
    json.member("trials", c.trials()).member("successes", c.successes());
    if (c.has_success_ppm()) json.member("success_ppm", c.success_ppm());
    if (c.has_low_ppm()) json.member("low_ppm", c.low_ppm());
    if (c.has_high_ppm()) json.member("high_ppm", c.high_ppm());
    if (c.has_trend_z_thousandths()) json.member("trend_z_thousandths", c.trend_z_thousandths());
    if (c.has_slope_ppm_per_week()) json.member("slope_ppm_per_week", c.slope_ppm_per_week());
    json.member("last_day", print_day(c.last_day())).end();
  }
  json.end().member("food_mg", r.food_mg()).end();
  return json;
}

Exit training(Client& client, const SpanArgs& args) {
  Names names(client);
  Call call;
  set_span(*call.mutable_training(), args, client, names);
  const TrainingReply reply = client.call(call).training();
  if (client.json())
    print(json_of(reply, call.training()));
  else
    print(text_of(reply, call.training(), names.name_of(call.training().animal())));
  return Exit::kOk;
}

}  // namespace

void add_training_commands(CLI::App& app, Action& chosen) {
  auto train_args = std::make_shared<TrainArgs>();
  CLI::App* t = app.add_subcommand("train", "Log a training session, with the food given in it, all at once");
  t->group("Keeper");
  t->add_option("animal", train_args->animal, "Name or id")->required();
  t->add_option("cue", train_args->cue, "Name or id")->required();
  t->add_option("--trials", train_args->trials, "How often it was asked for")->required();
  t->add_option("--successes", train_args->successes, "How often it met the criterion")->required();
  t->add_option("--minutes", train_args->minutes, "For how long: 10 or 10min");
  t->add_option("--food", train_args->foods,
                "Given in training: herring=200g,left:0g, as for `wrack meal`. Again for each food")
      ->allow_extra_args(false);
  t->add_option("--at", train_args->at, "When it was, if not now");
  t->add_option("--note", train_args->note, "Anything worth knowing");
  t->footer(std::string(kTrainingCaution) + "\n" + kFoodCaution);
  runs(t, chosen, train_args, train);

  auto span_args = std::make_shared<SpanArgs>();
  CLI::App* f =
      app.add_subcommand("training", "How training goes, cue by cue: success with its interval, trend");
  f->group("Keeper");
  add_span_options(f, *span_args);
  f->footer(kTrainingCaution);
  runs(f, chosen, span_args, training);
}

}  // namespace wrackline::cli
