// The water of one pool over a span: readings beside their limits, what they tell together, what was not
// read.
#include <tuple>

#include "husbandry/husbandry_calls.h"
#include "husbandry/water_input.h"
#include "reading/record_view.h"
#include "water/derived.h"

namespace wrackline {
namespace {

// Readings before the span that figures in it may rest on: salinities and coliform samples.
constexpr Day kDaysBefore = 7;

std::optional<WaterProperty> property_of(proto::Parameter parameter) {
  switch (parameter) {
    case proto::PARAMETER_TEMPERATURE:
      return WaterProperty::kTemperature;
    case proto::PARAMETER_SALINITY:
      return WaterProperty::kSalinity;
    case proto::PARAMETER_CONDUCTIVITY:
      return WaterProperty::kConductivity;
    case proto::PARAMETER_PH:
      return WaterProperty::kPh;
    case proto::PARAMETER_OXYGEN:
      return WaterProperty::kOxygen;
    case proto::PARAMETER_AMMONIA:
      return WaterProperty::kAmmonia;
    case proto::PARAMETER_CHLORINE_FREE:
      return WaterProperty::kChlorineFree;
    case proto::PARAMETER_CHLORINE_TOTAL:
      return WaterProperty::kChlorineTotal;
    case proto::PARAMETER_COLIFORM:
      return WaterProperty::kColiform;
    case proto::PARAMETER_AIR_PRESSURE:
      return WaterProperty::kAirPressure;
    default:
      return std::nullopt;  // Nothing is derived from it.
  }
}

proto::Derived to_derived(DerivedFigure figure) {
  switch (figure) {
    case DerivedFigure::kSalinity:
      return proto::DERIVED_SALINITY;
    case DerivedFigure::kDensity:
      return proto::DERIVED_DENSITY;
    case DerivedFigure::kOxygenSaturation:
      return proto::DERIVED_OXYGEN_SATURATION;
    case DerivedFigure::kAmmoniaUnionised:
      return proto::DERIVED_AMMONIA_UNIONISED;
    case DerivedFigure::kChlorineCombined:
      return proto::DERIVED_CHLORINE_COMBINED;
    case DerivedFigure::kColiformMean:
      return proto::DERIVED_COLIFORM_MEAN;
  }
  return proto::DERIVED_UNSPECIFIED;
}

void put_points(const WaterReadings& readings, Day first_day, const PoolLimits& limits,
                proto::WaterReply& out) {
  for (const Gathered<proto::WaterReading>& reading : readings) {
    const proto::WaterReading& message = reading.message;
    if (message.day() < first_day) continue;
    proto::WaterPoint& point = *out.add_points();
    put_id(reading.id, *point.mutable_record());
    point.set_day(message.day());
    point.set_happened_ms(message.happened_ms());
    point.set_parameter(message.parameter());
    point.set_value(message.value());
    point.set_disagrees(reading.in_disagreement);
    const PoolLimits::Judged judged = limits.judge(message.parameter(), message.value());
    point.set_judgement(judged.judgement);
    if (judged.limit == nullptr) continue;
    put_id(judged.limit->id, *point.mutable_limit());
    point.set_unverified_limit(judged.limit->message.unverified());
  }
}

// A figure that is itself a property of the water is judged by that property's limits, unless its formula
// does not hold. Un-ionised ammonia is not: limits of ammonia are of its total.
proto::Judgement judge_derived(const DerivedWater& figure, const PoolLimits& limits) {
  if (figure.outside_range) return proto::JUDGEMENT_UNSPECIFIED;
  switch (figure.figure) {
    case DerivedFigure::kSalinity:
      return limits.judge(proto::PARAMETER_SALINITY, figure.value).judgement;
    case DerivedFigure::kOxygenSaturation:
      return limits.judge(proto::PARAMETER_OXYGEN_SATURATION, figure.value).judgement;
    case DerivedFigure::kColiformMean:
      if (figure.coliform == ColiformVerdict::kMeets) return proto::JUDGEMENT_INSIDE;
      if (figure.coliform == ColiformVerdict::kUnsatisfactory) return proto::JUDGEMENT_ABOVE;
      return proto::JUDGEMENT_UNSPECIFIED;
    default:
      return proto::JUDGEMENT_UNSPECIFIED;
  }
}

std::optional<ColiformRule> coliform_rule(const PoolLimits& limits) {
  const WaterLimitRow* row = limits.high_of(proto::PARAMETER_COLIFORM);
  if (row == nullptr || row->message.high() <= 0 || row->message.high() > UINT32_MAX) return std::nullopt;
  return coliform_averaging(static_cast<std::uint32_t>(row->message.high()), row->message.source());
}

void put_derived(const WaterReadings& readings, Day first_day, const PoolLimits& limits,
                 proto::WaterReply& out) {
  std::vector<PoolReading> known;
  std::vector<const Gathered<proto::WaterReading>*> records;
  for (const Gathered<proto::WaterReading>& reading : readings) {
    const proto::WaterReading& message = reading.message;
    const auto property = property_of(message.parameter());
    if (!property || !message.has_value()) continue;
    const auto at_ms =
        message.has_happened_ms() ? std::optional<WallMs>(message.happened_ms()) : std::nullopt;
    known.push_back({*property, message.value(), message.day(), at_ms, ph_scale_of(message.method())});
    records.push_back(&reading);
  }
  std::vector<RefusedWater> refused;
  for (const DerivedWater& figure : derive_water(known, coliform_rule(limits), &refused)) {
    const proto::WaterReading& main = records[figure.from.front()]->message;
    if (main.day() < first_day) continue;
    proto::WaterDerived& derived = *out.add_derived();
    derived.set_day(main.day());
    derived.set_happened_ms(main.happened_ms());
    derived.set_derived(to_derived(figure.figure));
    derived.set_value(figure.value);
    derived.set_formula(figure.formula);
    derived.set_outside_range(figure.outside_range);
    for (std::size_t i : figure.from) put_id(records[i]->id, *derived.add_from());
    derived.set_judgement(judge_derived(figure, limits));
  }
  std::stable_sort(refused.begin(), refused.end(), [](const RefusedWater& a, const RefusedWater& b) {
    return std::make_tuple(a.from.front(), a.figure) < std::make_tuple(b.from.front(), b.figure);
  });
  for (const RefusedWater& figure : refused) {
    const proto::WaterReading& main = records[figure.from.front()]->message;
    if (main.day() < first_day) continue;
    proto::WaterRefused& row = *out.add_refused();
    row.set_day(main.day());
    row.set_happened_ms(main.happened_ms());
    row.set_derived(to_derived(figure.figure));
    row.set_reason(figure.reason);
    for (std::size_t i : figure.from) put_id(records[i]->id, *row.add_from());
  }
}

}  // namespace

Status handle_water(Replica& replica, const proto::WaterCall& call, proto::WaterReply& out) {
  const char* doing = "showing the water of a pool";
  if (call.last_day() < call.first_day()) {
    return fail(ErrorCode::kInvalid,
                std::string(doing) + ": the last day is before the first; correct one of the two");
  }
  const ChangeId id = id_of(call.pool());
  WRACKLINE_TRY_VALUE(state, require_record(replica, id, doing));
  if (state.kind != static_cast<std::uint32_t>(Kind::kPool)) {
    return fail(ErrorCode::kInvalid,
                std::string(doing) + ": record " + to_text(id) + " is no pool; choose a pool");
  }
  const Place pool = replica.store().logs().find_place(id);
  WRACKLINE_TRY_VALUE(limits, PoolLimits::gather_for(replica, pool));
  const Day from =
      call.first_day() < kFirstDayOfAll + kDaysBefore ? kFirstDayOfAll : call.first_day() - kDaysBefore;
  WRACKLINE_TRY_VALUE(readings,
                      gather<proto::WaterReading>(replica, pool, Kind::kWaterReading, from, call.last_day()));
  std::stable_sort(readings.begin(), readings.end(), [](const auto& a, const auto& b) {
    const auto key = [](const auto& r) {
      return std::make_tuple(r.message.day(), r.happened_ms, r.message.parameter());
    };
    return key(a) < key(b);
  });
  put_points(readings, call.first_day(), limits, out);
  put_derived(readings, call.first_day(), limits, out);
  // A reading that is overdue is overdue now, whatever span is looked at.
  WRACKLINE_TRY_VALUE(ever, gather_brief<proto::WaterReading>(replica, pool, Kind::kWaterReading));
  for (const PoolLimits::Overdue& overdue : limits.overdue(ever, replica.now())) {
    proto::WaterOverdue& row = *out.add_overdue();
    row.set_parameter(overdue.limit->message.parameter());
    put_id(overdue.limit->id, *row.mutable_limit());
    row.set_last_ms(overdue.last_ms);
    row.set_every_hours(overdue.limit->message.every_hours());
  }
  return {};
}

}  // namespace wrackline
