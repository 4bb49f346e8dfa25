// Goal: several officers decide the same review queue out of reach of each other, and when they meet all hold the same,
// nothing that anybody decided is lost, and where they contradict each other it stands in the queue again. Method: three
// officers and a hub; meals, doses and leftovers told twice; random decisions on the same and on different items, from a
// printed seed; then exchanges, and every digest and queue compared; then one officer clears the queue.
#include <map>
#include <set>

#include "base/built_in_fields.h"
#include "support/random.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

ChangeId id_in(const proto::RecordRef& ref) { return {LogId{ref.log()}, ref.seq()}; }

bool is(const proto::ReviewItem& item, ReviewRule rule) { return item.rule() == static_cast<std::uint32_t>(rule); }

class Desks {
 public:
  Desks(Random& random, std::uint64_t seed) : random_(random), facility_(seed) {
    for (int i = 0; i < 3; ++i) facility_.add_device("desk " + std::to_string(i));
    facility_.exchange_all();
    Shift first(desk(0), facility_.keeper());
    animal_ = first.animal("Nereid");
    const RecordId food = first.food("herring"), order = first.order(animal_);
    std::vector<RecordId> portions;
    for (std::uint32_t slot = 480; slot < 485; ++slot) portions.push_back(first.meal(animal_, food, slot, 1'000'000).second);
    facility_.exchange_all();
    for (std::size_t i = 0; i < 3; ++i) {
      Shift at(desk(i), facility_.keeper());
      for (std::uint32_t slot = 600; slot < 604; ++slot) at.meal(animal_, food, slot, 1'000'000 + i);
      at.dose(order, 480);
      for (const RecordId portion : portions) must(at.try_left(portion, 1000 * (i + 1), "weighed"));
    }
    facility_.exchange_all();
  }

  Device& desk(std::size_t i) { return *facility_.devices()[i]; }
  Shift officer(std::size_t i) { return Shift(desk(i), facility_.keeper()); }
  Facility& facility() { return facility_; }

  // One decision on a random item of what this officer has in front of them. Returns false for an empty queue.
  bool decide(std::size_t i) {
    Shift shift = officer(i);
    *desk(i).clock += 1000;
    const proto::ReviewReply queue = shift.review();
    if (queue.items_size() == 0) return false;
    const proto::ReviewItem& item = queue.items(static_cast<int>(random_.below(static_cast<std::uint64_t>(queue.items_size()))));
    note(shift.call(decision_on(shift, item)));
    return true;
  }

  // Takes back what was decided before: a fold among the records of the meals.
  void unfold(std::size_t i) {
    if (folded_.empty()) return;
    proto::Call call;
    *call.mutable_fold()->mutable_record() = ref_of(random_.pick(folded_));
    call.mutable_fold()->set_unfold(true);
    call.mutable_fold()->set_settle(true);
    call.mutable_fold()->set_reason("looked at again");
    note(officer(i).call(call));
  }

  // Changes that a call has acknowledged.
  const std::set<ChangeId>& acknowledged() const { return acknowledged_; }

 private:
  proto::Call decision_on(Shift& shift, const proto::ReviewItem& item) {
    proto::Call call;
    const int records = item.records_size();
    const auto any = [&] { return item.records(static_cast<int>(random_.below(static_cast<std::uint64_t>(records)))); };
    if (is(item, ReviewRule::kDoubleEntry)) {
      if (random_.once_in(2)) {
        *call.mutable_fold()->mutable_record() = item.records(records - 1);
        *call.mutable_fold()->mutable_into() = item.records(0);
        if (random_.once_in(3)) std::swap(*call.mutable_fold()->mutable_record(), *call.mutable_fold()->mutable_into());
        call.mutable_fold()->set_reason("one event");
        call.mutable_fold()->set_settle(true);
        folded_.push_back(id_in(call.fold().record()));
      } else {
        *call.mutable_accept()->mutable_record() = item.records(0);
        for (int k = 1; k < records; ++k) *call.mutable_accept()->add_beside() = item.records(k);
        call.mutable_accept()->set_rule(item.rule());
        call.mutable_accept()->set_reason("all are events");
        call.mutable_accept()->set_settle(true);
      }
      return call;
    }
    if (!is(item, ReviewRule::kDisagreement)) {  // A fold astray.
      *call.mutable_fold()->mutable_record() = any();
      call.mutable_fold()->set_unfold(true);
      call.mutable_fold()->set_settle(true);
      call.mutable_fold()->set_reason("it counts");
      return call;
    }
    // Any value that stands there, by the trail, said again.
    std::vector<Bytes> values;
    const proto::TrailReply trail = shift.trail(id_in(item.records(0)));
    for (const proto::TrailEntry& entry : trail.entries()) {
      if (entry.field() == item.field() && entry.head()) values.push_back(entry.value());
    }
    proto::EditCall& edit = *call.mutable_edit();
    *edit.mutable_record() = item.records(0);
    const Bytes value = random_.pick(values);
    if (value.empty()) {
      edit.add_clears(item.field());
    } else {
      edit.set_fields(value);
    }
    edit.set_settle(true);
    edit.set_reason("both were asked");
    return call;
  }

  void note(const proto::Reply& reply) {
    if (reply.has_failure()) {
      INFO(reply.failure().message());
      // A fold into what was folded meanwhile is refused; nothing else of this may be.
      REQUIRE(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kInvalid));
      return;
    }
    acknowledged_.insert(id_in(reply.edit().change()));
    for (const proto::RecordRef& other : reply.edit().others()) acknowledged_.insert(id_in(other));
  }

  Random& random_;
  Facility facility_;
  RecordId animal_;
  std::vector<RecordId> folded_;
  std::set<ChangeId> acknowledged_;
};

}  // namespace

TEST_CASE("officers decide one queue out of reach and end equal with nothing lost", "[review]") {
  Random random = test_random("review desk");
  std::size_t decided = 0, contradicted = 0;
  for (int round = 0; round < 8; ++round) {
    Desks desks(random, 900 + static_cast<std::uint64_t>(round));
    for (int shift = 0; shift < 3; ++shift) {
      for (int i = 0; i < 12; ++i) {
        const std::size_t officer = random.below(3);
        if (random.once_in(5)) {
          desks.unfold(officer);
        } else {
          desks.decide(officer);
        }
      }
      desks.facility().exchange_all();
      const std::string state = state_of(desks.facility().hub());
      const Bytes queue = Shift(desks.facility().hub(), desks.facility().keeper()).review().SerializeAsString();
      for (std::size_t i = 0; i < 3; ++i) {
        REQUIRE(state_of(desks.desk(i)) == state);
        REQUIRE(desks.officer(i).review().SerializeAsString() == queue);
        REQUIRE(desks.officer(i).rebuild().same());
      }
      const proto::ReviewReply of_all = desks.officer(0).review();
      for (const proto::ReviewItem& item : of_all.items()) {
        const bool is_of_decision = is(item, ReviewRule::kFoldAstray) || item.field() >= kStandingField;
        contradicted += is_of_decision ? 1 : 0;
      }
    }
    for (const ChangeId change : desks.acknowledged()) {
      LogTable& logs = desks.desk(2).replica->store().logs();
      REQUIRE_FALSE(must(logs.bytes_of(logs.find_place(change))).empty());
    }
    decided += desks.acknowledged().size();
    // One officer alone gets to the end of it.
    for (int i = 0; i < 400 && desks.decide(0); ++i) {
    }
    REQUIRE(desks.officer(0).review().items_size() == 0);
    desks.facility().exchange_all();
    REQUIRE(desks.officer(1).review().items_size() == 0);
    REQUIRE(state_of(desks.desk(0)) == state_of(desks.desk(2)));
  }
  REQUIRE(decided > 200);
  REQUIRE(contradicted > 10);
}

TEST_CASE("one officer folds what another takes for two events and both see that they disagree", "[review]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const RecordId first = on_north.meal(animal, food, 510, 1'200'000).first;
  const RecordId second = on_south.meal(animal, food, 510, 1'100'000).first;
  facility.exchange_all();
  on_north.fold(second, first, "one feeding");
  proto::Call both;
  *both.mutable_accept()->mutable_record() = ref_of(first);
  *both.mutable_accept()->add_beside() = ref_of(second);
  both.mutable_accept()->set_rule(static_cast<std::uint32_t>(ReviewRule::kDoubleEntry));
  both.mutable_accept()->set_reason("fed twice");
  on_south.must_call(both);
  facility.exchange_all();
  const proto::ReviewReply review = on_north.review();
  REQUIRE(review.SerializeAsString() == on_south.review().SerializeAsString());
  REQUIRE(review.items_size() == 1);
  CHECK(review.items(0).field() == kSameAsField);
  CHECK(id_in(review.items(0).records(0)) == second);
  // Settled by a word that knows both.
  proto::Call call;
  *call.mutable_fold()->mutable_record() = ref_of(second);
  *call.mutable_fold()->mutable_into() = ref_of(first);
  call.mutable_fold()->set_reason("both were asked: one feeding");
  CHECK(on_south.call(call).failure().code() == static_cast<std::uint32_t>(ErrorCode::kDisagreement));
  call.mutable_fold()->set_settle(true);
  on_south.must_call(call);
  facility.exchange_all();
  CHECK(on_north.review().items_size() == 0);
  CHECK_FALSE(built_in_of(on_north.load(second).fields).in_account());
}
