// Asked before a dose is given: what it comes to, and what is known here that speaks against it.
#include <records.pb.h>

#include "dosing/body_mass_age.h"
#include "dosing/dose.h"
#include "husbandry/dose_food.h"
#include "husbandry/dose_outcome.h"
#include "husbandry/husbandry_calls.h"
#include "husbandry/plans.h"
#include "reading/countersigned.h"
#include "reading/record_view.h"
#include "reading/roster.h"
#include "reading/zone.h"
#include "sync/facility_policy.h"

namespace wrackline {
namespace {

constexpr const char* kCheckingDose = "checking a dose";
// Common practice, no source; an order's own limit comes first.
constexpr std::uint32_t kMassAgeMaxDays = 30;
constexpr std::uint32_t kToleranceMin = 60;

using Order = Gathered<proto::TreatmentOrder>;
using Administration = Gathered<proto::Administration>;

void add_finding(proto::DoseCheckReply& out, proto::DoseRule rule, proto::ReviewSeverity severity) {
  proto::DoseFinding& finding = *out.add_findings();
  finding.set_rule(rule);
  finding.set_severity(severity);
}

std::optional<std::uint64_t> thousandths(const ExactAmount& amount) {
  return fit<std::uint64_t>(divide_rounded(amount.numerator * 1000, amount.divisor));
}

// The last mass taken on or before a day; of two on one day the later one.
Status put_body_mass(Replica& replica, Place animal, Day day, const proto::TreatmentOrder& order, proto::DoseCheckReply& out) {
  const auto read = [&](Day first, Day until) { return gather_brief<proto::Measure>(replica, animal, Kind::kMeasure, first, until); };
  const auto is_mass = [](const Gathered<proto::Measure>& measure) {
    return measure.message.quantity() == proto::QUANTITY_MASS && measure.message.value() != 0;
  };
  WRACKLINE_TRY_VALUE(measures, gather_back(day, day, read, is_mass));
  const proto::Measure* last = nullptr;
  for (const Gathered<proto::Measure>& measure : measures) {
    if (!is_mass(measure)) continue;
    if (last == nullptr || measure.message.day() >= last->day()) last = &measure.message;
  }
  if (last == nullptr) {
    add_finding(out, proto::DOSE_RULE_MASS_MISSING, proto::REVIEW_SEVERITY_ASK);
    return {};
  }
  const BodyMassAge age =
      body_mass_age(last->day(), day, order.has_mass_age_max_days() ? order.mass_age_max_days() : kMassAgeMaxDays);
  out.set_reckoned_from_mg(last->value());
  out.set_body_mass_day(last->day());
  out.set_body_mass_age_days(static_cast<std::uint32_t>(age.age_days));
  if (age.verdict != BodyMassVerdict::kRecent) add_finding(out, proto::DOSE_RULE_MASS_OLD, proto::REVIEW_SEVERITY_ASK);
  return {};
}

Status put_food(Replica& replica, Place animal, const proto::TreatmentOrder& order, const proto::DoseCheckCall& call,
                proto::DoseCheckReply& out) {
  if (call.has_food_mg()) {
    out.set_reckoned_from_mg(call.food_mg());
    return {};
  }
  WRACKLINE_TRY_VALUE(plans, gather<proto::DietPlan>(replica, animal, Kind::kDietPlan));
  const Gathered<proto::DietPlan>* plan = plan_in_force(plans, call.due_day());
  if (plan == nullptr) return {};
  const auto food_mg = dose_food_mg(order, plan->message, call.due_day(), call.due_slot_min());
  if (food_mg) out.set_reckoned_from_mg(*food_mg);
  return {};
}

// Left out when it cannot be measured with such a step: the exact amount then stands alone.
void put_volume(const ExactAmount& volume_ul, std::uint32_t step_ul, proto::DoseCheckReply& out) {
  const auto measured = measurable_volume(volume_ul, step_ul);
  if (!measured) return;
  out.set_measured_ul(measured->steps * step_ul);
  out.set_rounding_ppm(measured->difference_ppm);
}

Status put_measured(const proto::TreatmentOrder& order, const ExactAmount& dose_ug, proto::DoseCheckReply& out) {
  if (order.has_strength_ug_per_ml()) {
    WRACKLINE_TRY_VALUE(volume_ul, volume_of_dose_ul(dose_ug, strength_per_ml(order.strength_ug_per_ml())));
    if (const auto exact = thousandths(volume_ul)) out.set_exact_ul_thousandths(*exact);
    if (!order.has_step_ul()) return {};
    put_volume(volume_ul, order.step_ul(), out);
  } else if (order.has_strength_ug_per_unit()) {
    WRACKLINE_TRY_VALUE(tablets, tablets_of_dose(dose_ug, order.strength_ug_per_unit()));
    if (const auto exact = thousandths(tablets)) out.set_exact_units_thousandths(*exact);
    if (!order.has_unit_parts()) return {};
    const auto measured = measurable_tablets(tablets, static_cast<TabletParts>(order.unit_parts()));
    if (!measured) return {};
    out.set_measured_units_thousandths(measured->steps * 1000 / order.unit_parts());
    out.set_rounding_ppm(measured->difference_ppm);
  }
  return {};
}

Status put_dose(const proto::TreatmentOrder& order, proto::DoseCheckReply& out) {
  if (order.has_dose_ul()) {
    out.set_exact_ul_thousandths(order.dose_ul() * 1000);
    if (!order.has_step_ul()) return {};
    put_volume(whole_amount(order.dose_ul()), order.step_ul(), out);
    return {};
  }
  if (order.has_dose_units()) {
    out.set_exact_units_thousandths(order.dose_units() * 1000);
    return {};
  }
  if (!order.has_dose_ug() && !out.has_reckoned_from_mg()) return {};
  const Int128 from_mg = out.reckoned_from_mg();
  if (order.has_dose_units_per_kg_food()) {
    WRACKLINE_TRY_VALUE(units, exact_amount(from_mg * order.dose_units_per_kg_food(), 1'000'000));
    if (const auto exact = thousandths(units)) out.set_exact_units_thousandths(*exact);
    return {};
  }
  ExactAmount dose_ug = whole_amount(order.dose_ug());
  if (!order.has_dose_ug()) {
    const std::uint64_t per_kg = order.has_dose_ug_per_kg() ? order.dose_ug_per_kg() : order.dose_ug_per_kg_food();
    WRACKLINE_TRY_VALUE(reckoned, exact_amount(from_mg * per_kg, 1'000'000));
    dose_ug = reckoned;
  }
  if (const auto whole = fit<std::uint64_t>(divide_rounded(dose_ug.numerator, dose_ug.divisor))) out.set_exact_ug(*whole);
  return put_measured(order, dose_ug, out);
}

proto::DoseRule rule_of(DoseFinding finding) {
  switch (finding) {
    case DoseFinding::kAlreadyGiven:
    case DoseFinding::kAlreadyEntered: return proto::DOSE_RULE_SAME_SLOT;
    case DoseFinding::kTooSoon:
    case DoseFinding::kTooCloseBefore: return proto::DOSE_RULE_TOO_SOON;
    case DoseFinding::kDailyMax: return proto::DOSE_RULE_DAILY_MAX;
    case DoseFinding::kAmountNotKnown: return proto::DOSE_RULE_UNKNOWN_AMOUNT;
    case DoseFinding::kNotASlot: return proto::DOSE_RULE_OUTSIDE_ORDER;
    case DoseFinding::kEarly: return proto::DOSE_RULE_EARLY;
    case DoseFinding::kLate: return proto::DOSE_RULE_LATE;
  }
  return proto::DOSE_RULE_UNSPECIFIED;
}

// Early and late are for reading; everything that could mean a dose too many is asked about.
proto::ReviewSeverity severity_of(DoseFinding finding) {
  const bool tells = finding == DoseFinding::kEarly || finding == DoseFinding::kLate || finding == DoseFinding::kAlreadyEntered;
  return tells ? proto::REVIEW_SEVERITY_TELL : proto::REVIEW_SEVERITY_ASK;
}

Day local_day_of(const ZoneOffsets& zone, WallMs at_ms, Day otherwise) {
  const auto local = zone.local(at_ms);
  return local ? local->day : otherwise;
}

Status put_guard(Replica& replica, const Order& order, const ZoneOffsets& zone, const proto::DoseCheckCall& call,
                 proto::DoseCheckReply& out) {
  WRACKLINE_TRY_VALUE(entries, gather_brief<proto::Administration>(replica, order.place, Kind::kAdministration));
  NewDose dose;
  dose.due_day = call.due_day();
  dose.due_slot_min = call.due_slot_min();
  dose.at_ms = call.at_ms();
  WRACKLINE_TRY_VALUE(at, zone.local(call.at_ms()));
  dose.at_day = at.day;
  if (!order.message.slots_min().empty()) {
    WRACKLINE_TRY_VALUE(due, zone.instant(call.due_day(), call.due_slot_min()));
    dose.due_ms = due.at_ms;
  }
  std::vector<KnownDose> known;
  for (const Administration& entry : entries) {
    KnownDose& one = known.emplace_back();
    one.due_day = entry.message.due_day();
    one.due_slot_min = entry.message.due_slot_min();
    one.happened_ms = entry.happened_ms;
    // Days far from this one are outside the offsets that were handed in, and outside its daily maximum.
    one.happened_day = local_day_of(zone, entry.happened_ms, entry.message.due_day());
    one.outcome = to_outcome(entry.message.outcome());
    one.amount_known = entry.message.outcome() == proto::OUTCOME_GIVEN || entry.message.has_given_ug() ||
                       entry.message.has_given_ul() || entry.message.has_given_units();
    const bool is_in = one.outcome == DoseOutcome::kGiven || one.outcome == DoseOutcome::kPart;
    if (is_in && one.happened_day == dose.at_day) out.set_given_today(out.given_today() + 1);
  }
  DoseLimits limits;
  if (order.message.has_interval_min()) limits.interval_min = order.message.interval_min();
  if (order.message.has_daily_max()) limits.daily_max = order.message.daily_max();
  limits.slots_min.assign(order.message.slots_min().begin(), order.message.slots_min().end());
  limits.tolerance_min = kToleranceMin;
  Roster roster(replica);
  for (const DoseRemark& remark : judge_dose(limits, known, dose)) {
    proto::DoseFinding& finding = *out.add_findings();
    finding.set_rule(rule_of(remark.finding));
    finding.set_severity(severity_of(remark.finding));
    finding.set_minutes(static_cast<std::uint32_t>(std::min<std::uint64_t>(remark.minutes, UINT32_MAX)));
    if (!remark.known) continue;
    const Administration& entry = entries[*remark.known];
    put_id(entry.id, *finding.mutable_record());
    finding.set_happened_ms(entry.happened_ms);
    WRACKLINE_TRY_VALUE(author, roster.author_name(entry.id));
    finding.set_author_name(author);
  }
  return {};
}

// An order by telephone may have been misheard, so it is asked about each time until the vet confirms it.
Status put_confirmation(Replica& replica, const Order& order, proto::DoseCheckReply& out) {
  WRACKLINE_TRY_VALUE(word, word_of(replica, order.place));
  if (word != Word::kAsked) return {};
  WRACKLINE_TRY_VALUE(entries, gather<proto::Administration>(replica, order.place, Kind::kAdministration));
  std::uint64_t given = 0;
  for (const Gathered<proto::Administration>& entry : entries) {
    const DoseOutcome outcome = to_outcome(entry.message.outcome());
    given += outcome == DoseOutcome::kRefused || outcome == DoseOutcome::kHeld ? 0 : 1;
  }
  WRACKLINE_TRY_VALUE(policy, facility_policy(replica.store()));
  const bool is_again = given >= policy.phone_order_doses;
  add_finding(out, is_again ? proto::DOSE_RULE_UNCONFIRMED_AGAIN : proto::DOSE_RULE_UNCONFIRMED, proto::REVIEW_SEVERITY_ASK);
  return {};
}

}  // namespace

Status handle_dose_check(Replica& replica, const proto::DoseCheckCall& call, proto::DoseCheckReply& out) {
  const ChangeId id = id_of(call.order());
  WRACKLINE_TRY_VALUE(state, require_record(replica, id, kCheckingDose));
  Order order;
  if (state.kind != static_cast<std::uint32_t>(Kind::kTreatmentOrder) || !order.message.ParseFromString(state.fields)) {
    return fail(ErrorCode::kInvalid, std::string(kCheckingDose) + ": record " + to_text(id) + " is no treatment order; choose one");
  }
  order.id = id;
  order.place = replica.store().logs().find_place(id);
  WRACKLINE_TRY_VALUE(zone, zone_of(call.zone(), call.due_day(), kCheckingDose));
  WRACKLINE_TRY_VALUE(known, known_as_of(replica));
  out.set_known_as_of_ms(known);

  const Place animal = replica.store().logs().find_place(id_of(order.message.animal()));
  WRACKLINE_TRY_VALUE(patient, read_record<proto::Animal>(replica, animal));
  if (!patient || !built_in_of(state.fields).in_account()) {
    add_finding(out, proto::DOSE_RULE_NOT_IN_ACCOUNT, proto::REVIEW_SEVERITY_ASK);
  }
  if (!holds_on(order.message, call.due_day())) add_finding(out, proto::DOSE_RULE_OUTSIDE_ORDER, proto::REVIEW_SEVERITY_ASK);
  WRACKLINE_TRY(put_guard(replica, order, zone, call, out));
  if (order.message.has_dose_ug_per_kg()) WRACKLINE_TRY(put_body_mass(replica, animal, call.due_day(), order.message, out));
  if (order.message.has_dose_ug_per_kg_food() || order.message.has_dose_units_per_kg_food()) {
    WRACKLINE_TRY(put_food(replica, animal, order.message, call, out));
  }
  WRACKLINE_TRY(put_dose(order.message, out));
  WRACKLINE_TRY(put_confirmation(replica, order, out));
  if (order.message.needs_witness()) add_finding(out, proto::DOSE_RULE_WITNESS, proto::REVIEW_SEVERITY_TELL);
  return {};
}

}  // namespace wrackline
