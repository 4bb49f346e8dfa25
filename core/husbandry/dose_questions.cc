#include "husbandry/dose_questions.h"

#include <algorithm>

#include "base/rounding.h"
#include "husbandry/husbandry_calls.h"
#include "model/kinds.h"
#include "reading/record_view.h"

namespace wrackline {
namespace {

// Measuring explains an amount up to this far above what the order comes to, per million. Common practice, no source.
constexpr std::uint64_t kAbovePpm = 100'000;

bool is_in(proto::Outcome outcome) { return outcome == proto::OUTCOME_GIVEN || outcome == proto::OUTCOME_PART; }

bool is_asked(const proto::DoseFinding& finding, const proto::Administration& dose) {
  switch (finding.rule()) {
    case proto::DOSE_RULE_NOT_IN_ACCOUNT: return false;  // Asked about as of every entry for something struck.
    case proto::DOSE_RULE_WITNESS: return is_in(dose.outcome()) && !dose.has_witness();
    // Somebody has entered this very dose, whatever became of it.
    case proto::DOSE_RULE_SAME_SLOT: return finding.severity() == proto::REVIEW_SEVERITY_ASK;
    // A dose that did not go in cannot be one too many.
    default: return is_in(dose.outcome()) && finding.severity() == proto::REVIEW_SEVERITY_ASK;
  }
}

proto::Question question_of(proto::DoseRule rule) {
  proto::Question out;
  out.set_rule(proto::QUESTION_RULE_DOSE);
  out.set_detail(static_cast<std::uint64_t>(rule));
  return out;
}

// The order comes to `ordered_thousandths` of the field's unit; the nearest amount that can be measured lies `rounding_ppm` above it.
void ask_of_amount(int field, std::uint64_t given, std::uint64_t ordered_thousandths, std::int32_t rounding_ppm,
                   std::vector<proto::Question>& out) {
  const std::uint64_t above_ppm = std::max(kAbovePpm, static_cast<std::uint64_t>(std::max(rounding_ppm, 0)) + 1);
  const Int128 allowed = Int128(ordered_thousandths) * (1'000'000 + above_ppm);
  if (Int128(given) * 1000 * 1'000'000 <= allowed) return;
  proto::Question& question = out.emplace_back(question_of(proto::DOSE_RULE_AMOUNT));
  question.set_field(static_cast<std::uint32_t>(field));
  question.set_value(static_cast<std::int64_t>(given));
  question.set_high(static_cast<std::int64_t>(ordered_thousandths / 1000));
}

void ask_of_amounts(const proto::Administration& dose, const proto::DoseCheckReply& check, std::vector<proto::Question>& out) {
  using Dose = proto::Administration;
  if (dose.has_given_ug() && check.has_exact_ug()) {
    ask_of_amount(Dose::kGivenUgFieldNumber, dose.given_ug(), check.exact_ug() * 1000, check.rounding_ppm(), out);
  }
  if (dose.has_given_ul() && check.has_exact_ul_thousandths()) {
    ask_of_amount(Dose::kGivenUlFieldNumber, dose.given_ul(), check.exact_ul_thousandths(), check.rounding_ppm(), out);
  }
  if (dose.has_given_units() && check.has_exact_units_thousandths()) {
    ask_of_amount(Dose::kGivenUnitsFieldNumber, dose.given_units(), check.exact_units_thousandths(), check.rounding_ppm(), out);
  }
}

}  // namespace

Result<std::vector<proto::Question>> dose_questions(Replica& replica, const proto::Administration& dose) {
  std::vector<proto::Question> out;
  if (!dose.confirmed().empty()) return out;
  const RecordId order = id_of(dose.order());
  WRACKLINE_TRY_VALUE(state, replica.store().records().load(replica.store().logs().find_place(order)));
  if (!state || state->kind != static_cast<std::uint32_t>(Kind::kTreatmentOrder) || dose.due_day() < 0) return out;

  proto::DoseCheckCall call;
  *call.mutable_order() = dose.order();
  call.set_due_day(dose.due_day());
  call.set_due_slot_min(dose.due_slot_min());
  // An entry from paper may know no time; the dose is then judged as if it was given when it was due.
  call.set_at_ms(dose.has_happened_ms() ? dose.happened_ms()
                                        : static_cast<WallMs>(dose.due_day()) * kDayMs + dose.due_slot_min() * kMinuteMs);
  proto::ZoneOffset& offset = *call.add_zone();
  offset.set_from_ms(0);
  offset.set_utc_offset_min(dose.utc_offset_min());
  proto::DoseCheckReply check;
  // A day out of all bounds cannot be judged; the rules of the record refuse it.
  if (const Status checked = handle_dose_check(replica, call, check); !checked) {
    return checked.error().code == ErrorCode::kInvalid ? Result<std::vector<proto::Question>>(out) : fail(checked.error());
  }
  for (const proto::DoseFinding& finding : check.findings()) {
    if (!is_asked(finding, dose)) continue;
    proto::Question& question = out.emplace_back(question_of(finding.rule()));
    if (finding.has_record()) *question.mutable_source() = finding.record();
    question.set_set_by(finding.author_name());
    question.set_set_ms(finding.happened_ms());
    if (finding.minutes() > 0) question.set_value(finding.minutes());
  }
  if (is_in(dose.outcome())) ask_of_amounts(dose, check, out);
  return out;
}

}  // namespace wrackline
