// wrack water, read, limits: a pool's water beside its limits, and how readings get in. Figures are the
// core's.
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/hub_access.h"
#include "cli/record_fields.h"
#include "cli/reports/water_figures.h"
#include "records.pb.h"
#include "text/message_schema.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

constexpr Day kDaysShown = 7;

struct WaterArgs {
  std::string pool, from, to = "today";
  bool hub = false;
};
struct ReadArgs {
  std::string pool, at, instrument, method, note;
  std::vector<std::string> values;
};
struct LimitsArgs {
  std::string pool;
};

std::string limits_table(const std::vector<LimitOfWater>& limits, Names& names) {
  Table table(limit_titles());
  for (const LimitOfWater& row : limits) table.row(limit_row(row, names));
  return table.str();
}

std::string derived_part(const WaterReply& reply, Client& client) {
  const DerivedTable derived = derived_table(reply, client);
  if (derived.rows.empty()) return {};
  Table table(kDerivedTitles);
  for (const std::vector<std::string>& row : derived.rows) table.row(row);
  std::string out = "\n" + table.str();
  for (const std::string& formula : derived.formulas) out += wrapped_lines(formula);
  return out;
}

std::string refused_part(const WaterReply& reply, Client& client) {
  std::string out;
  for (const std::string& sentence : refused_sentences(reply, client)) out += wrapped_lines(sentence);
  return out.empty() ? out : "\n" + out;
}

std::string overdue_part(const WaterReply& reply, Client& client) {
  std::string out;
  for (const std::string& sentence : overdue_sentences(reply, client)) out += wrapped_lines(sentence);
  return out.empty() ? out : "\n" + out;
}

std::string text_of(const WaterReply& reply, const WaterCall& asked, Client& client, Names& names) {
  std::string out = "Water of " + names.name_of(asked.pool()) + ", " + print_day(asked.first_day()) +
                    (asked.last_day() == asked.first_day() ? "" : " to " + print_day(asked.last_day())) +
                    "\n\n";
  Table table({"AT", "PROPERTY", ">VALUE", "AGAINST THE LIMIT", "RECORD"});
  bool disagrees = false;
  for (const WaterPoint& point : reply.points()) {
    disagrees = disagrees || point.disagrees();
    table.row({water_time(client, point.day(), point.happened_ms()), parameter_text(point.parameter()),
               (point.disagrees() ? "*" : "") + reading_text(point.parameter(), point.value()),
               judgement_text(point.judgement(), point.unverified_limit()), names.short_id(point.record())});
  }
  out += table.empty() ? "No readings are recorded.\n" : table.str();
  if (disagrees)
    out += "* in disagreement; one of its values is shown until the officer has spoken (`wrack review`)\n";
  out += derived_part(reply, client) + refused_part(reply, client) + overdue_part(reply, client);
  const auto limits = limits_of(client, asked.pool());
  if (!limits.empty())
    out += "\nLimits; a pool's own row stands before one of every pool:\n" + limits_table(limits, names);
  return out + "\n" + wrapped_lines(kWaterCaution);
}

Exit water(Client& client, const WaterArgs& args) {
  Names names(client);
  Call call;
  WaterCall& ask = *call.mutable_water();
  *ask.mutable_pool() = names.find("pool", args.pool);
  ask.set_last_day(typed(client.zone().parse_day_of(args.to, client.now())));
  ask.set_first_day(args.from.empty() ? ask.last_day() - (kDaysShown - 1)
                                      : typed(client.zone().parse_day_of(args.from, client.now())));
  if (ask.last_day() < ask.first_day()) throw usage("--to is before --from");
  const WaterReply reply = asks(client, args.hub)(call).water();
  if (client.json()) {
    Json json;
    json.object().member("pool", Names::full_id(ask.pool()));
    water_json(json, reply);
    print(json.end());
  } else {
    print(text_of(reply, ask, client, names));
  }
  return Exit::kOk;
}

Exit read(Client& client, const ReadArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef pool = names.find("pool", args.pool);
  const When when = client.event_time(args.at);
  const KindInfo& kind = kind_typed("water_reading");
  for (const std::string& text : args.values) {
    const Assignment value = split_assignment(text);
    const MessagePtr fields = blank(kind);
    set_field(*fields, "parameter", value.name, client, names);
    set_field(*fields, "value", value.value, client, names);
    WaterReading reading;
    reading.ParseFromString(fields->SerializeAsString());
    *reading.mutable_pool() = pool;
    reading.set_day(when.day);
    set_time(reading, when);
    reading.set_instrument(args.instrument);
    reading.set_method(args.method);
    reading.set_note(args.note);
    NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(kind.number);
    record.set_fields(reading.SerializeAsString());
  }
  const Reply reply = client.call(call);
  return tell_logged(client, names, call.log(), reply.log());
}

Exit limits(Client& client, const LimitsArgs& args) {
  Names names(client);
  std::optional<RecordRef> pool;
  if (!args.pool.empty()) pool = names.find("pool", args.pool);
  const auto rows = limits_of(client, pool);
  if (client.json()) {
    Json json;
    json.object().key("limits").array();
    for (const auto& [record, limit] : rows) {
      json.object()
          .member("record", Names::full_id(record))
          .member("parameter", parameter_word(limit.parameter()));
      if (limit.has_pool()) json.member("pool", Names::full_id(limit.pool()));
      if (limit.has_low()) json.member("low", limit.low());
      if (limit.has_high()) json.member("high", limit.high());
      if (limit.has_every_hours()) json.member("every_hours", limit.every_hours());
      json.member("source", limit.source()).member("unverified", limit.unverified()).end();
    }
    print(json.end().end());
  } else if (rows.empty()) {
    print("no limits are recorded; write one with `wrack add water_limit`\n");
  } else {
    print(limits_table(rows, names) + wrapped_lines(kWaterCaution));
  }
  return Exit::kOk;
}

}  // namespace

void add_water_commands(CLI::App& app, Action& chosen) {
  auto read_args = std::make_shared<ReadArgs>();
  CLI::App* r = app.add_subcommand("read", "Log readings of a pool's water");
  r->group("Keeper");
  r->add_option("pool", read_args->pool, "Name or id")->required();
  r->add_option("values", read_args->values,
                "temperature=12.3C salinity=33.9psu ph=8.05 ammonia=0.02mg/L oxygen= ...")
      ->required();
  r->add_option("--at", read_args->at, "When it was, if not now");
  r->add_option("--instrument", read_args->instrument, "With what");
  r->add_option("--method", read_args->method, "How: the pH scale, the electrode, the test");
  r->add_option("--note", read_args->note, "Anything worth knowing");
  r->footer(kWaterCaution);
  runs(r, chosen, read_args, read);

  auto water_args = std::make_shared<WaterArgs>();
  CLI::App* w = app.add_subcommand(
      "water", "A pool's water: readings, limits, what they tell together, what is overdue");
  w->group("Records officer");
  w->add_option("pool", water_args->pool, "Name or id")->required();
  w->add_option("--from", water_args->from, "First day; a week before the last when left out");
  w->add_option("--to", water_args->to, "Last day: today, yesterday or 2026-11-24")->capture_default_str();
  w->add_flag("--hub", water_args->hub, "Ask the hub's replica instead of this one");
  w->footer(kWaterCaution);
  runs(w, chosen, water_args, water);

  auto limits_args = std::make_shared<LimitsArgs>();
  CLI::App* l = app.add_subcommand("limits", "The limits of the water, with where they come from");
  l->group("Records officer");
  l->add_option("pool", limits_args->pool, "Only those that can hold for this pool");
  runs(l, chosen, limits_args, limits);
}

}  // namespace wrackline::cli
