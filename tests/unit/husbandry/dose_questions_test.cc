// Goal: no app writes a dose too many, or ten times too much, unasked, though it never asked the check before. Method: doses through
// the plain call `log`, beside an order of a vet and doses of others; each question is brought about, and confirmed.
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kToday = 20'717;
constexpr WallMs kEight = static_cast<WallMs>(kToday) * kDayMs + 480 * kMinuteMs;

struct Ward {
  Facility facility;
  Device& desk = facility.add_device("desk");
  Shift shift{(facility.exchange_all(), desk), facility.keeper()};
  RecordId seal = shift.animal("Sila");
  RecordId order, colleague;

  // 50 mg at 08:00 and 20:00, at least ten hours apart.
  explicit Ward(bool needs_witness = false) {
    *desk.clock = kEight + kHourMs;
    proto::Person person;
    person.set_name("Jonas Berg");
    colleague = shift.log(Kind::kPerson, person);
    proto::TreatmentOrder ordered;
    *ordered.mutable_animal() = ref_of(seal);
    ordered.set_preparation("as the vet wrote it");
    ordered.set_first_day(kToday - 5);
    ordered.add_slots_min(480);
    ordered.add_slots_min(1200);
    ordered.set_dose_ug(50'000);
    ordered.set_interval_min(600);
    ordered.set_needs_witness(needs_witness);
    *ordered.mutable_ordered_by() = ref_of(facility.keeper());
    order = shift.log(Kind::kTreatmentOrder, ordered);
  }

  proto::Administration dose(std::uint64_t given_ug = 50'000, WallMs at_ms = kEight) const {
    proto::Administration dose;
    *dose.mutable_order() = ref_of(order);
    dose.set_due_day(kToday);
    dose.set_due_slot_min(480);
    dose.set_happened_ms(at_ms);
    dose.set_utc_offset_min(0);
    dose.set_outcome(proto::OUTCOME_GIVEN);
    dose.set_given_ug(given_ug);
    return dose;
  }
  static proto::Call log_of(const proto::Administration& dose) {
    proto::Call call;
    proto::NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(static_cast<std::uint32_t>(Kind::kAdministration));
    record.set_fields(dose.SerializeAsString());
    return call;
  }
  // The questions about the dose; nothing is written then.
  std::vector<proto::Question> asked(const proto::Administration& dose) {
    const std::string before = state_of(desk);
    const proto::Reply reply = shift.call(log_of(dose));
    REQUIRE(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kUnconfirmed));
    CHECK(state_of(desk) == before);
    return {reply.failure().questions().begin(), reply.failure().questions().end()};
  }
  bool is_written_unasked(const proto::Administration& dose) { return !shift.call(log_of(dose)).has_failure(); }
};

bool asks(const std::vector<proto::Question>& questions, proto::DoseRule rule) {
  return std::any_of(questions.begin(), questions.end(), [&](const proto::Question& question) {
    return question.rule() == proto::QUESTION_RULE_DOSE && question.detail() == static_cast<std::uint64_t>(rule);
  });
}

}  // namespace

TEST_CASE("a dose as ordered and due is written unasked", "[call]") {
  Ward ward;
  CHECK(ward.is_written_unasked(ward.dose()));
}

TEST_CASE("a second dose of a slot is asked about, with who gave the first and when", "[call]") {
  Ward ward;
  const RecordId first = ward.shift.log(Kind::kAdministration, ward.dose());
  const auto questions = ward.asked(ward.dose(50'000, kEight + 20 * kMinuteMs));
  REQUIRE(asks(questions, proto::DOSE_RULE_SAME_SLOT));
  CHECK(asks(questions, proto::DOSE_RULE_TOO_SOON));
  CHECK(RecordId{LogId{questions[0].source().log()}, questions[0].source().seq()} == first);
  CHECK(questions[0].set_ms() == kEight);
  CHECK_FALSE(questions[0].set_by().empty());
}

TEST_CASE("a hundred times the ordered amount is asked about, with both amounts", "[call]") {
  Ward ward;
  const auto questions = ward.asked(ward.dose(5'000'000));
  REQUIRE(questions.size() == 1);
  CHECK(asks(questions, proto::DOSE_RULE_AMOUNT));
  CHECK(questions[0].field() == proto::Administration::kGivenUgFieldNumber);
  CHECK(questions[0].value() == 5'000'000);
  CHECK(questions[0].high() == 50'000);
}

TEST_CASE("an amount that measuring explains is not asked about, and a hair above is", "[call]") {
  Ward ward;
  CHECK(asks(ward.asked(ward.dose(55'001)), proto::DOSE_RULE_AMOUNT));
  CHECK(ward.is_written_unasked(ward.dose(55'000)));
}

// 48.5 mg in quarters of a 250 mg tablet: the nearest is 62.5 mg, 29 % above.
TEST_CASE("the nearest amount that can be measured is not asked about, and the next one is", "[call]") {
  Ward ward;
  proto::TreatmentOrder ordered;
  *ordered.mutable_animal() = ref_of(ward.seal);
  ordered.set_preparation("Tablet 250 mg");
  ordered.set_first_day(kToday - 5);
  ordered.add_slots_min(480);
  ordered.set_dose_ug(48'500);
  ordered.set_strength_ug_per_unit(250'000);
  ordered.set_unit_parts(4);
  *ordered.mutable_ordered_by() = ref_of(ward.facility.keeper());
  ward.order = ward.shift.log(Kind::kTreatmentOrder, ordered);
  CHECK(asks(ward.asked(ward.dose(125'000)), proto::DOSE_RULE_AMOUNT));
  CHECK(ward.is_written_unasked(ward.dose(62'500)));
}

TEST_CASE("a confirmed dose is written, and says what was asked", "[call]") {
  Ward ward;
  proto::Call call = ward.log_of(ward.dose(5'000'000));
  for (const proto::Question& question : ward.asked(ward.dose(5'000'000))) *call.mutable_confirmed()->add_questions() = question;
  call.mutable_confirmed()->set_because("the vet raised it by telephone");
  const proto::Reply reply = ward.shift.must_call(call);
  const proto::RecordRef& written = reply.log().records(0);
  proto::Administration stored;
  REQUIRE(stored.ParseFromString(ward.shift.load({LogId{written.log()}, written.seq()}).fields));
  CHECK(stored.confirmation().because() == "the vet raised it by telephone");
  REQUIRE(stored.confirmation().questions_size() == 1);
  CHECK(stored.confirmation().questions(0).detail() == proto::DOSE_RULE_AMOUNT);
}

TEST_CASE("a yes to one question is no yes to another", "[call]") {
  Ward ward;
  ward.shift.log(Kind::kAdministration, ward.dose());
  const proto::Administration second = ward.dose(5'000'000, kEight + 20 * kMinuteMs);
  proto::Call call = ward.log_of(second);
  for (const proto::Question& question : ward.asked(second)) {
    if (question.detail() != proto::DOSE_RULE_AMOUNT) *call.mutable_confirmed()->add_questions() = question;
  }
  CHECK(ward.shift.call(call).failure().code() == static_cast<std::uint32_t>(ErrorCode::kUnconfirmed));
}

TEST_CASE("a dose that did not go in is asked about only when its slot has an entry", "[call]") {
  Ward ward;
  proto::Administration refused = ward.dose();
  refused.clear_given_ug();
  refused.set_outcome(proto::OUTCOME_REFUSED);
  refused.set_happened_ms(kEight + 20 * kMinuteMs);
  proto::Administration of_evening = refused;
  of_evening.set_due_slot_min(1200);
  ward.shift.log(Kind::kAdministration, ward.dose());
  CHECK(ward.is_written_unasked(of_evening));
}

TEST_CASE("a dose without the witness that the order asks for is asked about", "[call]") {
  Ward ward(true);
  CHECK(asks(ward.asked(ward.dose()), proto::DOSE_RULE_WITNESS));
  proto::Administration seen = ward.dose();
  *seen.mutable_witness() = ref_of(ward.colleague);
  CHECK(ward.is_written_unasked(seen));
}

TEST_CASE("a dose that says itself what its author was asked is not asked about again", "[call]") {
  Ward ward;
  ward.shift.log(Kind::kAdministration, ward.dose());
  proto::Administration again = ward.dose(50'000, kEight + 20 * kMinuteMs);
  again.set_confirmed("seen twice [asked: this dose already has an entry]");
  CHECK(ward.is_written_unasked(again));
}

TEST_CASE("a dose of an order that is not here yet is written", "[call]") {
  Ward ward;
  proto::Administration dose = ward.dose();
  dose.mutable_order()->set_seq(70'000);
  CHECK(ward.is_written_unasked(dose));
}
