// How an animal's body did over a span: what was measured, how fast it changed, mass for length.
#include <records.pb.h>

#include <tuple>

#include "analytics/body_condition.h"
#include "analytics/body_mass.h"
#include "analytics/growth.h"
#include "analytics/scaled.h"
#include "base/rounding.h"
#include "husbandry/husbandry_calls.h"
#include "reading/record_view.h"
#include "reading/roster.h"

namespace wrackline {
namespace {

using Measures = std::vector<Gathered<proto::Measure>>;

void put_points(const Measures& measures, Day first_day, proto::BodyReply& out) {
  for (const Gathered<proto::Measure>& measure : measures) {
    if (measure.message.day() < first_day || !measure.message.has_value()) continue;
    proto::BodyPoint& point = *out.add_points();
    point.set_day(measure.message.day());
    point.set_quantity(measure.message.quantity());
    point.set_value(measure.message.value());
    point.set_method(measure.message.method());
    put_id(measure.id, *point.mutable_record());
    point.set_disagrees(measure.in_disagreement);
  }
}

void put_growth(const std::vector<BodyMass>& masses, Day first_day, proto::BodyReply& out) {
  const BodyMass* first = nullptr;
  const BodyMass* last = nullptr;
  for (const BodyMass& mass : masses) {
    if (mass.day < first_day) continue;
    if (first == nullptr) first = &mass;
    last = &mass;
  }
  if (first == nullptr) return;
  const auto growth = growth_between(*first, *last);
  if (!growth) return;
  if (growth->change_ppm) out.set_change_ppm(*growth->change_ppm);
  if (growth->change_mg_per_day) out.set_growth_mg_per_day(*growth->change_mg_per_day);
  if (growth->sgr_ppb_per_day) {
    const auto ppm = fit<std::int32_t>(divide_rounded(*growth->sgr_ppb_per_day, 1000));
    if (ppm) out.set_growth_ppm_per_day(*ppm);
  }
}

// Fills in the condition on the last day with both a mass and a straight length.
void put_condition(const Measures& measures, Day first_day, proto::BodyReply& out) {
  for (auto length = measures.rbegin(); length != measures.rend(); ++length) {
    if (length->message.quantity() != proto::QUANTITY_LENGTH_STRAIGHT || length->message.day() < first_day) continue;
    for (auto mass = measures.rbegin(); mass != measures.rend(); ++mass) {
      if (mass->message.quantity() != proto::QUANTITY_MASS || mass->message.day() != length->message.day()) continue;
      const BodyLength straight{LengthKind::kStraight, length->message.value()};
      const auto fulton = fulton_k(mass->message.value(), straight);
      const auto condition = body_condition_index(mass->message.value(), straight);
      if (!fulton || !condition) return;
      const auto fulton_scaled = to_scaled(*fulton, 1'000'000), condition_scaled = to_scaled(*condition, 1'000'000);
      if (!fulton_scaled || !condition_scaled || *fulton_scaled > UINT32_MAX || *condition_scaled > UINT32_MAX) return;
      out.set_fulton_millionths(static_cast<std::uint32_t>(*fulton_scaled));
      out.set_condition_millionths(static_cast<std::uint32_t>(*condition_scaled));
      out.set_condition_day(length->message.day());
      return;
    }
  }
}

}  // namespace

Status handle_body(Replica& replica, const proto::BodyCall& call, proto::BodyReply& out) {
  if (call.last_day() < call.first_day()) {
    return fail(ErrorCode::kInvalid, "showing a body: the last day is before the first; correct one of the two");
  }
  Roster roster(replica);
  WRACKLINE_TRY_VALUE(animal, roster.animal(id_of(call.animal()), "showing a body"));
  const auto read = [&](Day first, Day last) { return gather<proto::Measure>(replica, animal.place, Kind::kMeasure, first, last); };
  const auto is_mass = [](const Gathered<proto::Measure>& each) { return each.message.quantity() == proto::QUANTITY_MASS && each.message.value() > 0; };
  // Where no mass stands in the span, the last one before it is wanted, and nothing else of those days.
  WRACKLINE_TRY_VALUE(measures, gather_back(call.first_day(), call.last_day(), read, is_mass));
  std::stable_sort(measures.begin(), measures.end(), [](const auto& a, const auto& b) {
    return std::make_tuple(a.message.day(), a.message.quantity()) < std::make_tuple(b.message.day(), b.message.quantity());
  });
  std::vector<BodyMass> masses;
  for (const Gathered<proto::Measure>& measure : measures) {
    if (measure.message.quantity() == proto::QUANTITY_MASS) masses.push_back({measure.message.day(), measure.message.value()});
  }
  put_points(measures, call.first_day(), out);
  put_growth(masses, call.first_day(), out);
  if (const auto mass = body_mass_on(call.last_day(), masses)) {
    out.set_mass_mg(mass->mass_mg);
    out.set_mass_age_days(mass->age_days);
    out.set_mass_between(mass->basis == BodyMassBasis::kBetween);
  }
  // One head and a group of several are weighed alike, all together.
  out.set_head_count(animal.animal.has_head_count() ? animal.animal.head_count() : 1);
  if (out.has_mass_mg()) {
    const auto per_head = fit<std::uint64_t>(divide_rounded(out.mass_mg(), out.head_count()));
    if (per_head) out.set_mass_per_head_mg(*per_head);
  }
  // A group's length is no length.
  if (out.head_count() == 1) put_condition(measures, call.first_day(), out);
  return {};
}

}  // namespace wrackline
