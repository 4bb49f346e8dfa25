// Goal: an app learns which rules its records break, by record, field and code, without reading a sentence and without writing;
// and a refused call says the same. Method: a keeper's records through the public call, sound and broken.
#include <set>

#include "model/problem.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

struct Pool {
  Facility facility;
  Device& desk = facility.add_device("desk");
  Shift shift{(facility.exchange_all(), desk), facility.keeper()};
  RecordId seal = shift.animal("Sila");
  RecordId herring = shift.food("herring");

  // A meal, and a portion of it whose leftover is weighed though nothing was offered; the day of the meal is as given.
  proto::Call broken_meal(Day day) const {
    proto::Meal meal;
    *meal.mutable_animal() = ref_of(seal);
    meal.set_day(day);
    proto::Portion portion;
    *portion.mutable_food() = ref_of(herring);
    portion.set_left_mg(1'000);
    proto::Call call;
    proto::NewRecord& first = *call.mutable_log()->add_records();
    first.set_kind(static_cast<std::uint32_t>(Kind::kMeal));
    first.set_fields(meal.SerializeAsString());
    proto::NewRecord& second = *call.mutable_log()->add_records();
    second.set_kind(static_cast<std::uint32_t>(Kind::kPortion));
    second.set_fields(portion.SerializeAsString());
    proto::Link& link = *second.add_links();
    link.set_field(proto::Portion::kMealFieldNumber);
    link.set_record(0);
    return call;
  }
};

constexpr Day kBeyondAllDays = 200'000;

template <typename Problems>
void check_problems_of_broken_meal(const Problems& problems) {
  REQUIRE(problems.size() == 2);
  CHECK(problems[0].record() == 0);
  CHECK(problems[0].kind() == static_cast<std::uint32_t>(Kind::kMeal));
  CHECK(problems[0].field() == proto::Meal::kDayFieldNumber);
  CHECK(problems[0].code() == "day_not_plausible");
  CHECK(problems[1].record() == 1);
  CHECK(problems[1].kind() == static_cast<std::uint32_t>(Kind::kPortion));
  CHECK(problems[1].field() == proto::Portion::kLeftMgFieldNumber);
  CHECK(problems[1].code() == "left_without_offered");
  CHECK(problems[1].sentence().find("the leftover is weighed") == 0);
}

}  // namespace

TEST_CASE("a check says which rule each record breaks, and writes nothing", "[call]") {
  Pool pool;
  const std::string before = state_of(pool.desk);
  proto::Call call = pool.broken_meal(kBeyondAllDays);
  call.mutable_log()->set_check_only(true);
  const proto::Reply reply = pool.shift.must_call(call);
  check_problems_of_broken_meal(reply.log().problems());
  CHECK(reply.log().records_size() == 0);
  CHECK(state_of(pool.desk) == before);
}

TEST_CASE("a refused entry says the same as a check of it", "[call]") {
  Pool pool;
  const proto::Reply reply = pool.shift.call(pool.broken_meal(kBeyondAllDays));
  REQUIRE(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kInvalid));
  check_problems_of_broken_meal(reply.failure().problems());
  CHECK(reply.failure().message().find("portion 2: the leftover is weighed") != std::string::npos);
}

TEST_CASE("a check of sound records finds nothing and they are not there", "[call]") {
  Pool pool;
  const std::string before = state_of(pool.desk);
  proto::Call call;
  proto::Animal animal;
  animal.set_name("Kobb");
  proto::NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(static_cast<std::uint32_t>(Kind::kAnimal));
  record.set_fields(animal.SerializeAsString());
  call.mutable_log()->set_check_only(true);
  const proto::Reply reply = pool.shift.must_call(call);
  CHECK(reply.log().problems_size() == 0);
  CHECK(reply.log().questions_size() == 0);
  CHECK(reply.log().records_size() == 0);
  CHECK(state_of(pool.desk) == before);
}

TEST_CASE("a check says what would be asked, and no longer what is confirmed", "[call]") {
  Pool pool;
  proto::Call call;
  proto::Measure measure;
  *measure.mutable_animal() = ref_of(pool.seal);
  measure.set_day(static_cast<Day>(*pool.desk.clock / kDayMs) + 30);
  measure.set_quantity(proto::QUANTITY_MASS);
  measure.set_value(80'000'000);
  proto::NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(static_cast<std::uint32_t>(Kind::kMeasure));
  record.set_fields(measure.SerializeAsString());
  call.mutable_log()->set_check_only(true);
  const proto::Reply reply = pool.shift.must_call(call);
  CHECK(reply.log().problems_size() == 0);
  REQUIRE(reply.log().questions_size() == 1);
  CHECK(reply.log().questions(0).rule() == proto::QUESTION_RULE_FUTURE);
  *call.mutable_confirmed()->mutable_questions() = reply.log().questions();
  call.mutable_confirmed()->set_because("planned");
  CHECK(pool.shift.must_call(call).log().questions_size() == 0);
}

TEST_CASE("a check fails for somebody who may not log the records", "[call]") {
  Pool pool;
  proto::Person trainee;
  trainee.set_name("Jonas Berg");
  trainee.add_roles(proto::ROLE_KEEPER);
  Shift theirs(pool.desk, pool.shift.log(Kind::kPerson, trainee));
  proto::Call call;
  proto::TreatmentOrder order;
  *order.mutable_animal() = ref_of(pool.seal);
  proto::NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(static_cast<std::uint32_t>(Kind::kTreatmentOrder));
  record.set_fields(order.SerializeAsString());
  call.mutable_log()->set_check_only(true);
  CHECK(theirs.call(call).failure().code() == static_cast<std::uint32_t>(ErrorCode::kUnauthorized));
}

TEST_CASE("an entry that would be refused is refused before its author is asked anything", "[call]") {
  Pool pool;
  proto::Call call = pool.broken_meal(kBeyondAllDays);
  proto::Portion heavy;
  *heavy.mutable_food() = ref_of(pool.herring);
  heavy.set_left_mg(900'000'000);
  call.mutable_log()->mutable_records(1)->set_fields(heavy.SerializeAsString());
  const proto::Reply reply = pool.shift.call(call);
  CHECK(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kInvalid));
  CHECK(reply.failure().questions_size() == 0);
  CHECK(reply.failure().problems_size() == 2);
}

TEST_CASE("a refused edit names the rule that the record would break", "[call]") {
  Pool pool;
  const auto [meal, portion] = pool.shift.meal(pool.seal, pool.herring, 510, 1'000'000);
  proto::Call call;
  *call.mutable_edit()->mutable_record() = ref_of(portion);
  proto::Portion heavy;
  heavy.set_offered_mg(2'000'000'000);
  call.mutable_edit()->set_fields(heavy.SerializeAsString());
  call.mutable_edit()->set_reason("read again");
  // First it is asked whether so much is meant; then the rule says that it cannot be.
  proto::Reply reply = pool.shift.call(call);
  *call.mutable_confirmed()->mutable_questions() = reply.failure().questions();
  reply = pool.shift.call(call);
  REQUIRE(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kInvalid));
  REQUIRE(reply.failure().problems_size() == 1);
  CHECK(reply.failure().problems(0).code() == "portion_mass_over_1000_kg");
  CHECK(reply.failure().problems(0).kind() == static_cast<std::uint32_t>(Kind::kPortion));
  CHECK(reply.failure().problems(0).field() == proto::Portion::kGrossMgFieldNumber);
}

TEST_CASE("each problem has a name of its own and a sentence", "[call]") {
  std::set<std::string_view> names;
  const ProblemCode all[] = {
#define WRACKLINE_PROBLEM(code, name, sentence) ProblemCode::code,
#include "model/problem_codes.inc"
#undef WRACKLINE_PROBLEM
  };
  for (const ProblemCode code : all) {
    CAPTURE(name_of(code));
    CHECK(names.insert(name_of(code)).second);
    CHECK(sentence_of({code, 0, {}}).size() > 20);
  }
  CHECK(names.size() > 180);
}

TEST_CASE("a parameter that looks like a place is shown as it is", "[call]") {
  const Problem problem{ProblemCode::kNotationIsMisread, 1, {"{1} IU", "write \"units\"", "route"}};
  CHECK(sentence_of(problem) == "\"{1} IU\" in the route of the order is easily misread: write \"units\"");
}
