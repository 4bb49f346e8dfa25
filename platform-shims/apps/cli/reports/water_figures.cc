#include "cli/reports/water_figures.h"

#include <algorithm>
#include <tuple>

#include "text/decimal.h"
#include "text/enum_words.h"
#include "text/figures.h"
#include "text/message_schema.h"
#include "text/value_units.h"

namespace wrackline::cli {
namespace {

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
}  // namespace

std::string derived_text(Derived derived) {
  if (derived == DERIVED_AMMONIA_UNIONISED) return "un-ionised ammonia";
  std::string text = derived_word(derived);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

namespace {

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

}  // namespace

std::string reading_text(Parameter parameter, std::int64_t value) {
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

std::vector<LimitOfWater> limits_of(Client& client, const std::optional<RecordRef>& pool) {
  std::vector<LimitOfWater> out;
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

std::string water_time(Client& client, Day day, WallMs happened_ms) {
  return happened_ms == 0 ? print_day(day) : client.zone().print(happened_ms);
}

const std::vector<std::string>& limit_titles() {
  static const std::vector<std::string> titles = {"PROPERTY", ">LOWEST", ">HIGHEST", ">READ EVERY", "OF", "SOURCE", "RECORD"};
  return titles;
}

std::vector<std::string> limit_row(const LimitOfWater& row, Names& names) {
  const auto& [record, limit] = row;
  return {parameter_text(limit.parameter()),
          limit.has_low() ? reading_text(limit.parameter(), limit.low()) : "",
          limit.has_high() ? reading_text(limit.parameter(), limit.high()) : "",
          limit.has_every_hours() ? print_quantity(Unit::kHours, limit.every_hours()) : "",
          limit.has_pool() ? names.name_of(limit.pool()) : "every pool",
          limit.source() + (limit.unverified() ? " (unverified)" : ""),
          names.short_id(record)};
}

DerivedTable derived_table(const WaterReply& reply, Client& client) {
  DerivedTable out;
  for (const WaterDerived& figure : reply.derived()) {
    auto formula = std::find(out.formulas.begin(), out.formulas.end(), figure.formula());
    if (formula == out.formulas.end()) formula = out.formulas.insert(out.formulas.end(), figure.formula());
    std::string judged = judgement_word(figure.judgement());
    if (figure.outside_range()) judged = "outside the formula's range";
    if (figure.judgement() == JUDGEMENT_ABOVE || figure.judgement() == JUDGEMENT_BELOW)
      judged = "OUTSIDE, " + judged;
    out.rows.push_back({water_time(client, figure.day(), figure.happened_ms()), derived_text(figure.derived()),
                        derived_value(figure), judged, "[" + std::to_string(formula - out.formulas.begin() + 1) + "]"});
  }
  for (std::size_t i = 0; i < out.formulas.size(); ++i)
    out.formulas[i] = "[" + std::to_string(i + 1) + "] " + out.formulas[i] + ".";
  return out;
}

std::vector<std::string> overdue_sentences(const WaterReply& reply, Client& client) {
  std::vector<std::string> out;
  for (const WaterOverdue& overdue : reply.overdue()) {
    out.push_back("Overdue: " + parameter_text(overdue.parameter()) + ", to be read every " +
                  print_quantity(Unit::kHours, overdue.every_hours()) + "; " +
                  (overdue.last_ms() == 0 ? "never read here" : "last read " + client.zone().print(overdue.last_ms())) +
                  ".");
  }
  return out;
}

std::vector<std::string> refused_sentences(const WaterReply& reply, Client& client) {
  std::vector<std::string> out;
  for (const WaterRefused& figure : reply.refused())
    out.push_back("No " + derived_text(figure.derived()) + " at " +
                  water_time(client, figure.day(), figure.happened_ms()) + ": " + figure.reason() + ".");
  return out;
}

void water_json(Json& json, const WaterReply& reply) {
  json.key("readings").array();
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
  json.end();
}

}  // namespace wrackline::cli
