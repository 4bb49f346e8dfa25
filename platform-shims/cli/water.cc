// wrack water, read, limits: a pool's water beside its limits, and how readings get in. Figures are the
// core's.
#include <algorithm>
#include <tuple>

#include "cautions.h"
#include "command.h"
#include "decimal.h"
#include "enum_words.h"
#include "fields.h"
#include "hub.h"
#include "records.pb.h"
#include "schema.h"
#include "table.h"
#include "value_units.h"

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

std::string value_text(Parameter parameter, std::int64_t value) {
  return print_quantity(unit_of_parameter(parameter), value);
}

std::string parameter_word(Parameter parameter) {
  static const google::protobuf::EnumDescriptor& type =
      *kind_typed("water_reading").descriptor->FindFieldByName("parameter")->enum_type();
  const auto* value = type.FindValueByNumber(parameter);
  return value ? enum_word(*value) : "property " + std::to_string(static_cast<int>(parameter));
}
std::string parameter_text(Parameter parameter) {
  if (parameter == PARAMETER_PH) return "pH";
  std::string text = parameter_word(parameter);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

const char* judgement_word(Judgement judgement) {
  switch (judgement) {
    case JUDGEMENT_INSIDE:
      return "inside";
    case JUDGEMENT_BELOW:
      return "below";
    case JUDGEMENT_ABOVE:
      return "above";
    default:
      return "";
  }
}
std::string judgement_text(Judgement judgement, bool unverified) {
  std::string text = judgement_word(judgement);
  if (judgement == JUDGEMENT_BELOW || judgement == JUDGEMENT_ABOVE) text = "OUTSIDE, " + text;
  return text.empty() ? "no limit known" : unverified ? text + " (unverified limit)" : text;
}

const char* derived_word(Derived derived) {
  switch (derived) {
    case DERIVED_SALINITY:
      return "salinity";
    case DERIVED_DENSITY:
      return "density";
    case DERIVED_OXYGEN_SATURATION:
      return "oxygen_saturation";
    case DERIVED_AMMONIA_UNIONISED:
      return "ammonia_unionised";
    case DERIVED_CHLORINE_COMBINED:
      return "chlorine_combined";
    case DERIVED_COLIFORM_MEAN:
      return "coliform_mean";
    default:
      return "figure_of_a_newer_release";
  }
}
std::string derived_text(Derived derived) {
  if (derived == DERIVED_AMMONIA_UNIONISED) return "un-ionised ammonia";
  std::string text = derived_word(derived);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::int64_t rounded(std::int64_t v, std::int64_t step) {
  return (v < 0 ? v - step / 2 : v + step / 2) / step * step;
}

// To what a person reads: a tenth of a per cent, a ten-thousandth of a milligram. --json is exact.
std::string derived_value(const WaterDerived& figure) {
  const std::int64_t v = figure.value();
  switch (figure.derived()) {
    case DERIVED_SALINITY:
      return print_quantity(Unit::kSalinity, rounded(v, 10));
    case DERIVED_DENSITY:
      return print_decimal(rounded(v, 10), 3) + " kg/m\u00b3";
    case DERIVED_OXYGEN_SATURATION:
      return print_quantity(Unit::kPpm, rounded(v, 1'000));
    case DERIVED_AMMONIA_UNIONISED:
      return print_decimal(rounded(v, 100), 6) + " mg/L as N";
    case DERIVED_CHLORINE_COMBINED:
      return print_quantity(Unit::kChlorinePerL, v);
    case DERIVED_COLIFORM_MEAN:
      return print_decimal(rounded(v, 100), 3) + " MPN/100 mL";
    default:
      return std::to_string(v);
  }
}

std::string at_text(Client& client, Day day, WallMs happened_ms) {
  return happened_ms == 0 ? print_day(day) : client.zone().print(happened_ms);
}

// Rows that hold for a pool, its own first; of all pools where none is named.
std::vector<std::pair<RecordRef, WaterLimit>> limits_of(Client& client,
                                                        const std::optional<RecordRef>& pool) {
  std::vector<std::pair<RecordRef, WaterLimit>> out;
  for (const RecordView& view : client.list(kind_number("water_limit"))) {
    WaterLimit limit;
    if (!limit.ParseFromString(view.fields())) continue;
    if (!pool || !limit.has_pool() || same(limit.pool(), *pool)) out.emplace_back(view.record(), limit);
  }
  std::sort(out.begin(), out.end(), [](const auto& a, const auto& b) {
    const auto key = [](const auto& row) {
      return std::make_tuple(row.second.parameter(), !row.second.has_pool(), id_of(row.second.pool()),
                             id_of(row.first));
    };
    return key(a) < key(b);
  });
  return out;
}

std::string limits_table(const std::vector<std::pair<RecordRef, WaterLimit>>& limits, Names& names) {
  Table table({"PROPERTY", ">LOWEST", ">HIGHEST", ">READ EVERY", "OF", "SOURCE", "RECORD"});
  for (const auto& [record, limit] : limits) {
    table.row({parameter_text(limit.parameter()),
               limit.has_low() ? value_text(limit.parameter(), limit.low()) : "",
               limit.has_high() ? value_text(limit.parameter(), limit.high()) : "",
               limit.has_every_hours() ? print_quantity(Unit::kHours, limit.every_hours()) : "",
               limit.has_pool() ? names.name_of(limit.pool()) : "every pool",
               limit.source() + (limit.unverified() ? " (unverified)" : ""), names.short_id(record)});
  }
  return table.str();
}

std::string derived_part(const WaterReply& reply, Client& client) {
  if (reply.derived_size() == 0) return {};
  Table table({"AT", "DERIVED", ">FIGURE", "", "BY"});
  std::vector<std::string> formulas;
  for (const WaterDerived& figure : reply.derived()) {
    auto formula = std::find(formulas.begin(), formulas.end(), figure.formula());
    if (formula == formulas.end()) formula = formulas.insert(formulas.end(), figure.formula());
    std::string judged = judgement_word(figure.judgement());
    if (figure.outside_range()) judged = "outside the formula's range";
    if (figure.judgement() == JUDGEMENT_ABOVE || figure.judgement() == JUDGEMENT_BELOW)
      judged = "OUTSIDE, " + judged;
    table.row({at_text(client, figure.day(), figure.happened_ms()), derived_text(figure.derived()),
               derived_value(figure), judged, "[" + std::to_string(formula - formulas.begin() + 1) + "]"});
  }
  std::string out = "\n" + table.str();
  for (std::size_t i = 0; i < formulas.size(); ++i)
    out += wrapped_lines("[" + std::to_string(i + 1) + "] " + formulas[i] + ".");
  return out;
}

std::string refused_part(const WaterReply& reply, Client& client) {
  std::string out;
  for (const WaterRefused& figure : reply.refused())
    out += wrapped_lines("No " + derived_text(figure.derived()) + " at " +
                         at_text(client, figure.day(), figure.happened_ms()) + ": " + figure.reason() + ".");
  return out.empty() ? out : "\n" + out;
}

std::string overdue_part(const WaterReply& reply, Client& client) {
  std::string out;
  for (const WaterOverdue& overdue : reply.overdue()) {
    out += wrapped_lines(
        "Overdue: " + parameter_text(overdue.parameter()) + ", to be read every " +
        print_quantity(Unit::kHours, overdue.every_hours()) + "; " +
        (overdue.last_ms() == 0 ? "never read here" : "last read " + client.zone().print(overdue.last_ms())) +
        ".");
  }
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
    table.row({at_text(client, point.day(), point.happened_ms()), parameter_text(point.parameter()),
               (point.disagrees() ? "*" : "") + value_text(point.parameter(), point.value()),
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

Json json_of(const WaterReply& reply, const WaterCall& asked) {
  Json json;
  json.object().member("pool", Names::full_id(asked.pool())).key("readings").array();
  for (const WaterPoint& point : reply.points()) {
    json.object().member("record", Names::full_id(point.record())).member("day", print_day(point.day()));
    if (point.happened_ms() != 0) json.member("happened_ms", point.happened_ms());
    json.member("parameter", parameter_word(point.parameter())).member("value", point.value());
    if (point.has_limit())
      json.member("judgement", judgement_word(point.judgement()))
          .member("limit", Names::full_id(point.limit()))
          .member("unverified_limit", point.unverified_limit());
    json.member("disagrees", point.disagrees()).end();
  }
  json.end().key("derived").array();
  for (const WaterDerived& figure : reply.derived()) {
    json.object().member("day", print_day(figure.day()));
    if (figure.happened_ms() != 0) json.member("happened_ms", figure.happened_ms());
    json.member("figure", derived_word(figure.derived()))
        .member("value", figure.value())
        .member("formula", figure.formula());
    json.member("outside_range", figure.outside_range());
    if (figure.judgement() != JUDGEMENT_UNSPECIFIED)
      json.member("judgement", judgement_word(figure.judgement()));
    json.key("from").array();
    for (const RecordRef& record : figure.from()) json.text(Names::full_id(record));
    json.end().end();
  }
  json.end().key("refused").array();
  for (const WaterRefused& figure : reply.refused()) {
    json.object().member("day", print_day(figure.day()));
    if (figure.happened_ms() != 0) json.member("happened_ms", figure.happened_ms());
    json.member("figure", derived_word(figure.derived())).member("reason", figure.reason()).key("from").array();
    for (const RecordRef& record : figure.from()) json.text(Names::full_id(record));
    json.end().end();
  }
  json.end().key("overdue").array();
  for (const WaterOverdue& overdue : reply.overdue()) {
    json.object()
        .member("parameter", parameter_word(overdue.parameter()))
        .member("limit", Names::full_id(overdue.limit()));
    if (overdue.last_ms() != 0) json.member("last_ms", overdue.last_ms());
    json.member("every_hours", overdue.every_hours()).end();
  }
  json.end().end();
  return json;
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
    print(json_of(reply, ask));
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
