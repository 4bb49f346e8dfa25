// Goal: what is beyond a limit, improbable, yet to come, of something struck, or of a closed day is asked
// about before it is written; a yes to those very questions writes it, and the record says so. Nothing is
// refused for good, and nothing else is asked about. Method: an invented centre through the public call; each
// question is brought about, refused, and confirmed.
#include <set>

#include "base/built_in_fields.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kDay = 20'717;  // The day of Facility::kStartMs.
constexpr WallMs kNow = static_cast<WallMs>(kDay) * kDayMs + 14 * kHourMs;

struct Centre {
  Facility facility;
  Device& desk;
  Shift shift;
  RecordId pool, seal, herring;

  Centre() : desk(facility.add_device("desk")), shift((facility.exchange_all(), desk), facility.keeper()) {
    *desk.clock = kNow;
    proto::Pool pool_message;
    pool_message.set_name("Seal pool 1");
    pool_message.set_area("yard");
    pool = shift.log(Kind::kPool, pool_message);
    proto::Animal animal;
    animal.set_name("Sila");
    *animal.mutable_pool() = ref_of(pool);
    seal = shift.log(Kind::kAnimal, animal);
    herring = shift.food("herring");
  }

  proto::Measure mass(std::uint64_t mg, WallMs at_ms = kNow) const {
    proto::Measure measure;
    *measure.mutable_animal() = ref_of(seal);
    measure.set_day(static_cast<Day>(at_ms / kDayMs));
    measure.set_happened_ms(at_ms);
    measure.set_utc_offset_min(0);
    measure.set_quantity(proto::QUANTITY_MASS);
    measure.set_value(mg);
    return measure;
  }

  RecordId limit(RecordId subject, Kind kind, int field, std::optional<std::int64_t> low,
                 std::optional<std::int64_t> high, std::optional<std::uint32_t> detail = {}) {
    proto::SiteLimit limit;
    if (subject) *limit.mutable_subject() = ref_of(subject);
    limit.set_of_kind(static_cast<std::uint32_t>(kind));
    limit.set_of_field(static_cast<std::uint32_t>(field));
    if (detail) limit.set_of_detail(*detail);
    if (low) limit.set_low(*low);
    if (high) limit.set_high(*high);
    limit.set_note("by the vet");
    return shift.log(Kind::kSiteLimit, limit);
  }

  RecordId close_yard() {
    proto::DayClose close;
    close.set_area("yard");
    close.set_day(kDay);
    return shift.log(Kind::kDayClose, close);
  }

  static proto::Call log_of(Kind kind, const google::protobuf::MessageLite& message) {
    proto::Call call;
    proto::NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(static_cast<std::uint32_t>(kind));
    record.set_fields(message.SerializeAsString());
    return call;
  }
  // A meal with one portion, offered net.
  proto::Call meal(std::uint64_t offered_mg, std::optional<std::uint64_t> left_mg = {}) const {
    proto::Meal meal;
    *meal.mutable_animal() = ref_of(seal);
    meal.set_day(kDay);
    meal.set_slot_min(510);
    proto::Call call = log_of(Kind::kMeal, meal);
    proto::Portion portion;
    *portion.mutable_food() = ref_of(herring);
    portion.set_offered_mg(offered_mg);
    if (left_mg) portion.set_left_mg(*left_mg);
    proto::NewRecord& record = *call.mutable_log()->add_records();
    record.set_kind(static_cast<std::uint32_t>(Kind::kPortion));
    record.set_fields(portion.SerializeAsString());
    proto::Link& link = *record.add_links();
    link.set_field(proto::Portion::kMealFieldNumber);
    link.set_record(0);
    return call;
  }
  static proto::Call edit_of(RecordId record, const google::protobuf::MessageLite& message) {
    proto::Call call;
    *call.mutable_edit()->mutable_record() = ref_of(record);
    call.mutable_edit()->set_fields(message.SerializeAsString());
    call.mutable_edit()->set_reason("read again");
    return call;
  }

  // Must be asked about, with nothing written.
  std::vector<proto::Question> asked(const proto::Call& call) {
    const std::string before = state_of(desk);
    const proto::Reply reply = shift.call(call);
    REQUIRE(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kUnconfirmed));
    CHECK(reply.what_case() == proto::Reply::WHAT_NOT_SET);
    CHECK(state_of(desk) == before);
    return {reply.failure().questions().begin(), reply.failure().questions().end()};
  }
  proto::Question asked_once(const proto::Call& call) {
    const auto questions = asked(call);
    REQUIRE(questions.size() == 1);
    return questions[0];
  }
  // The same call with all its questions confirmed.
  proto::Reply confirmed(proto::Call call, const std::string& because = "weighed twice") {
    for (const proto::Question& question : asked(call)) *call.mutable_confirmed()->add_questions() = question;
    call.mutable_confirmed()->set_because(because);
    return shift.must_call(call);
  }
  bool is_written_unasked(const proto::Call& call) { return !shift.call(call).has_failure(); }
  template <typename Message>
  Message message_of(const proto::RecordRef& ref) {
    Message message;
    REQUIRE(message.ParseFromString(shift.load({LogId{ref.log()}, ref.seq()}).fields));
    return message;
  }
};

RecordId id(const proto::RecordRef& ref) { return {LogId{ref.log()}, ref.seq()}; }

}  // namespace

TEST_CASE("a value beyond a site limit asks, naming limit and setter, and is written when confirmed",
          "[call]") {
  Centre centre;
  const RecordId limit = centre.limit({}, Kind::kMeasure, proto::Measure::kValueFieldNumber, 50'000'000,
                                      150'000'000, proto::QUANTITY_MASS);
  CHECK(centre.is_written_unasked(Centre::log_of(Kind::kMeasure, centre.mass(150'000'000))));
  const proto::Call call = Centre::log_of(Kind::kMeasure, centre.mass(150'000'001));
  const proto::Question question = centre.asked_once(call);
  CHECK(question.rule() == proto::QUESTION_RULE_SITE_LIMIT);
  CHECK(question.value() == 150'000'001);
  CHECK(question.low() == 50'000'000);
  CHECK(question.high() == 150'000'000);
  CHECK(question.kind() == static_cast<std::uint32_t>(Kind::kMeasure));
  CHECK(question.detail() == proto::QUANTITY_MASS);
  CHECK(id(question.source()) == limit);
  CHECK(question.set_by() == centre.shift.trail(limit).entries(0).author_name());
  CHECK_FALSE(question.set_by().empty());
  CHECK(question.note() == "by the vet");

  const proto::Reply reply = centre.confirmed(call);
  const auto written = centre.message_of<proto::Measure>(reply.log().records(0));
  CHECK(written.value() == 150'000'001);
  CHECK(written.confirmation().because() == "weighed twice");
  REQUIRE(written.confirmation().questions_size() == 1);
  CHECK(written.confirmation().questions(0).SerializeAsString() == question.SerializeAsString());
  CHECK(centre.shift.rebuild().same());
}

TEST_CASE("an animal's own limit goes before everybody's, and a struck limit asks nothing", "[call]") {
  Centre centre;
  centre.limit({}, Kind::kPortion, proto::Portion::kOfferedMgFieldNumber, {}, 2'000'000);
  const proto::Question everybodys = centre.asked_once(centre.meal(2'500'000));
  CHECK(everybodys.record() == 1);
  CHECK(everybodys.high() == 2'000'000);
  const RecordId own =
      centre.limit(centre.seal, Kind::kPortion, proto::Portion::kOfferedMgFieldNumber, {}, 3'000'000);
  CHECK(centre.is_written_unasked(centre.meal(2'500'000)));
  CHECK(id(centre.asked_once(centre.meal(3'000'001)).source()) == own);
  centre.shift.strike(own, "for the winter only");
  CHECK(centre.asked_once(centre.meal(2'500'000)).high() == 2'000'000);
}

TEST_CASE("the confirmation of one question is none of another", "[call]") {
  Centre centre;
  const RecordId limit =
      centre.limit(centre.seal, Kind::kPortion, proto::Portion::kOfferedMgFieldNumber, {}, 1'000'000);
  proto::Call call = centre.meal(1'500'000);
  *call.mutable_confirmed()->add_questions() = centre.asked_once(call);
  // Meanwhile somebody lowers the limit: what was confirmed is not what is asked now.
  proto::SiteLimit lower;
  lower.set_high(500'000);
  must(centre.shift.try_edit(limit, lower, "she is on a diet"));
  const proto::Reply reply = centre.shift.call(call);
  REQUIRE(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kUnconfirmed));
  CHECK(reply.failure().questions(0).high() == 500'000);
  // A value mistyped in the second try is not the one confirmed.
  proto::Call other = centre.meal(15'000'000);
  *other.mutable_confirmed()->add_questions() = centre.asked_once(centre.meal(1'500'000));
  CHECK(centre.asked(other).size() == 1);
}

TEST_CASE("an edit is asked about for the values it gives, and its change carries the confirmation",
          "[call]") {
  Centre centre;
  const proto::Reply logged = centre.shift.must_call(centre.meal(1'000'000));
  const RecordId portion = id(logged.log().records(1));
  centre.limit({}, Kind::kPortion, proto::Portion::kLeftMgFieldNumber, {}, 400'000);
  proto::Portion left;
  left.set_left_mg(450'000);
  const proto::Question question = centre.asked_once(Centre::edit_of(portion, left));
  CHECK(question.rule() == proto::QUESTION_RULE_SITE_LIMIT);
  CHECK(question.field() == proto::Portion::kLeftMgFieldNumber);
  centre.confirmed(Centre::edit_of(portion, left));
  CHECK(centre.message_of<proto::Portion>(ref_of(portion)).confirmation().questions_size() == 1);
  // The value that stands is not asked about again with the next field.
  proto::Portion note;
  note.set_note("under the raft");
  CHECK(centre.is_written_unasked(Centre::edit_of(portion, note)));
  CHECK(centre.shift.rebuild().same());
}

TEST_CASE("an improbable value is asked about, an impossible one refused", "[call]") {
  Centre centre;
  const proto::Question question = centre.asked_once(centre.meal(100'000'001));
  CHECK(question.rule() == proto::QUESTION_RULE_IMPROBABLE);
  CHECK(question.high() == 100'000'000);
  CHECK_FALSE(question.has_source());
  CHECK(centre.is_written_unasked(centre.meal(100'000'000)));
  const proto::Reply absurd = centre.shift.call(centre.meal(1'000'000'001));
  CHECK(absurd.failure().code() == static_cast<std::uint32_t>(ErrorCode::kInvalid));
  CHECK(absurd.failure().questions_size() == 0);
}

TEST_CASE("a leftover above what was offered is written as it is, unasked, and flagged", "[call]") {
  Centre centre;
  const proto::Reply reply = centre.shift.must_call(centre.meal(500'000, 510'000));
  CHECK(centre.message_of<proto::Portion>(reply.log().records(1)).left_mg() == 510'000);
  proto::Call attention;
  attention.mutable_attention()->set_day(kDay);
  attention.mutable_attention()->add_zone()->set_from_ms(static_cast<std::int64_t>(kNow - 90 * kHourMs));
  bool flagged = false;
  const proto::Reply list = centre.shift.must_call(attention);
  for (const proto::AttentionItem& item : list.attention().items())
    flagged = flagged || item.rule() == proto::ATTENTION_RULE_LEFT_ABOVE_OFFERED;
  CHECK(flagged);
}

TEST_CASE("a time that is yet to come is asked about, ten minutes of grace apart", "[call]") {
  Centre centre;
  CHECK(
      centre.is_written_unasked(Centre::log_of(Kind::kMeasure, centre.mass(90'000'000, kNow + 10 * 60'000))));
  const proto::Call call = Centre::log_of(Kind::kMeasure, centre.mass(90'000'000, kNow + 10 * 60'000 + 1));
  const proto::Question question = centre.asked_once(call);
  CHECK(question.rule() == proto::QUESTION_RULE_FUTURE);
  CHECK(question.value() == static_cast<std::int64_t>(kNow + 10 * 60'000 + 1));
  centre.confirmed(call);
  // An entry that knows only its day is to come when that day has begun nowhere yet.
  proto::Measure by_day = centre.mass(90'000'000);
  by_day.clear_happened_ms();
  by_day.clear_utc_offset_min();
  by_day.set_day(kDay + 1);  // It is 14:00 UTC; at +14:00 that day is four hours old.
  CHECK(centre.is_written_unasked(Centre::log_of(Kind::kMeasure, by_day)));
  by_day.set_day(kDay + 2);
  CHECK(centre.asked_once(Centre::log_of(Kind::kMeasure, by_day)).day() == kDay + 2);
}

TEST_CASE("an entry for a struck animal, its order or its meal asks, and says who struck it", "[call]") {
  Centre centre;
  const RecordId order = centre.shift.order(centre.seal);
  const auto [meal, portion] = centre.shift.meal(centre.seal, centre.herring, 480, 500'000);
  CHECK(centre.is_written_unasked(centre.meal(500'000)));
  centre.shift.strike(centre.seal, "released");
  const proto::Question question = centre.asked_once(centre.meal(500'000));
  CHECK(question.rule() == proto::QUESTION_RULE_STRUCK);
  CHECK(question.source_name() == "Sila");
  CHECK_FALSE(question.set_by().empty());
  proto::Administration dose;
  *dose.mutable_order() = ref_of(order);
  dose.set_due_day(kDay);
  dose.set_due_slot_min(480);
  dose.set_outcome(proto::OUTCOME_HELD);
  CHECK(centre.asked_once(Centre::log_of(Kind::kAdministration, dose)).source_name() == "Sila");
  proto::Portion more;
  *more.mutable_meal() = ref_of(meal);
  *more.mutable_food() = ref_of(centre.herring);
  CHECK(centre.asked_once(Centre::log_of(Kind::kPortion, more)).rule() == proto::QUESTION_RULE_STRUCK);
  // An entry that is there already may be put right without a question.
  proto::Portion left;
  left.set_left_mg(1);
  CHECK(centre.is_written_unasked(Centre::edit_of(portion, left)));
  centre.shift.strike(centre.seal, "another one's", true);
  CHECK(centre.is_written_unasked(centre.meal(500'000)));
}

TEST_CASE("an entry, an edit and a strike in a closed day are asked about and stay amendments", "[call]") {
  Centre centre;
  const proto::Reply before = centre.shift.must_call(centre.meal(1'000'000));
  const RecordId portion = id(before.log().records(1));
  const RecordId close = centre.close_yard();
  *centre.desk.clock += kHourMs;

  const auto questions = centre.asked(centre.meal(700'000));
  REQUIRE(questions.size() == 1);  // The meal; its portion goes with it.
  for (const proto::Question& question : questions) {
    CHECK(question.rule() == proto::QUESTION_RULE_CLOSED_DAY);
    CHECK(question.source_name() == "yard");
    CHECK(question.day() == kDay);
    CHECK(id(question.source()) == close);
    CHECK_FALSE(question.set_by().empty());
    CHECK(question.set_ms() >= kNow);
  }
  const RecordId late = id(centre.confirmed(centre.meal(700'000)).log().records(0));

  proto::Portion left;
  left.set_left_mg(80'000);
  CHECK(centre.asked_once(Centre::edit_of(portion, left)).rule() == proto::QUESTION_RULE_CLOSED_DAY);
  centre.confirmed(Centre::edit_of(portion, left));
  proto::Call strike;
  *strike.mutable_strike()->mutable_record() = ref_of(id(before.log().records(0)));
  strike.mutable_strike()->set_reason("another animal's");
  CHECK(centre.asked_once(strike).rule() == proto::QUESTION_RULE_CLOSED_DAY);
  centre.confirmed(strike);
  CHECK(centre.shift.view(id(before.log().records(0))).struck());

  // A reading of the pool and a check of the area are of that day too; another day and another area are not.
  proto::WaterReading reading;
  *reading.mutable_pool() = ref_of(centre.pool);
  reading.set_day(kDay);
  reading.set_parameter(proto::PARAMETER_TEMPERATURE);
  reading.set_value(11'000);
  CHECK(centre.asked_once(Centre::log_of(Kind::kWaterReading, reading)).rule() ==
        proto::QUESTION_RULE_CLOSED_DAY);
  reading.set_day(kDay - 1);
  CHECK(centre.is_written_unasked(Centre::log_of(Kind::kWaterReading, reading)));
  proto::HygieneCheck check;
  check.set_area("hall");
  check.set_day(kDay);
  check.set_task("foot baths changed");
  check.set_passed(true);
  CHECK(centre.is_written_unasked(Centre::log_of(Kind::kHygieneCheck, check)));
  check.set_area("yard");
  CHECK(centre.asked_once(Centre::log_of(Kind::kHygieneCheck, check)).rule() ==
        proto::QUESTION_RULE_CLOSED_DAY);
  // Brought from another day into the closed one.
  const RecordId weighed = centre.shift.log(Kind::kMeasure, centre.mass(90'000'000, kNow - kDayMs));
  proto::Measure today;
  today.set_day(kDay);
  today.set_happened_ms(kNow);
  CHECK(centre.asked_once(Centre::edit_of(weighed, today)).rule() == proto::QUESTION_RULE_CLOSED_DAY);
  // The close itself may be struck unasked, and asks no more then.
  centre.shift.strike(close, "too early");
  CHECK(centre.is_written_unasked(Centre::log_of(Kind::kHygieneCheck, check)));
  centre.shift.strike(close, "it was right", true);

  must(centre.facility.exchange(centre.desk));
  proto::Call attention;
  attention.mutable_attention()->set_day(kDay);
  attention.mutable_attention()->add_zone()->set_from_ms(static_cast<std::int64_t>(kNow - 90 * kHourMs));
  std::set<RecordId> amended;
  const proto::Reply list = centre.shift.must_call(attention);
  for (const proto::AttentionItem& item : list.attention().items())
    if (item.rule() == proto::ATTENTION_RULE_AMENDED_AFTER_CLOSE) amended.insert(id(item.record()));
  CHECK(amended.count(late) == 1);
  CHECK(amended.count(portion) == 1);
  CHECK(amended.count(id(before.log().records(0))) == 1);
}

TEST_CASE("two confirmations unaware of each other are both in the trail, and do not disagree", "[call]") {
  Centre centre;
  const proto::Reply logged = centre.shift.must_call(centre.meal(1'000'000));
  const RecordId portion = id(logged.log().records(1));
  centre.close_yard();
  Device& tablet = centre.facility.add_device("tablet");
  centre.facility.exchange_all();
  *tablet.clock = *centre.desk.clock = kNow + kHourMs;
  Shift other(tablet, centre.facility.keeper());
  proto::Portion left, note;
  left.set_left_mg(80'000);
  note.set_note("under the raft");
  centre.confirmed(Centre::edit_of(portion, left), "found it late");
  proto::Call call = Centre::edit_of(portion, note);
  *call.mutable_confirmed()->mutable_questions() = other.call(call).failure().questions();
  other.must_call(call);
  centre.facility.exchange_all();
  CHECK(state_of(tablet) == state_of(centre.desk));
  CHECK(centre.shift.view(portion).disagreements_size() == 0);
  CHECK(centre.shift.review().items_size() == 0);
  int confirmations = 0;
  const proto::TrailReply trail = centre.shift.trail(portion);
  for (const proto::TrailEntry& entry : trail.entries())
    confirmations += entry.field() == kConfirmationField && entry.head();
  CHECK(confirmations == 2);
  // A third edit is not stopped by them, and replaces them.
  proto::Portion more;
  more.set_left_mg(90'000);
  centre.confirmed(Centre::edit_of(portion, more), "weighed again");
  CHECK(centre.message_of<proto::Portion>(ref_of(portion)).confirmation().because() == "weighed again");
}
