// Goal: an item of the review says all that is needed to decide it: both values with how each came about, records side
// by side with what differs, what is held; and acceptances are of the very records that were looked at. Method: small
// scenes on two tablets, through the public call.
#include <set>

#include "base/built_in_fields.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

proto::ReviewDetailReply detail(Shift& shift, const proto::ReviewItem& item) {
  proto::Call call;
  call.mutable_review_detail()->set_rule(item.rule());
  call.mutable_review_detail()->set_field(item.field());
  *call.mutable_review_detail()->mutable_record() = item.records(0);
  return shift.must_call(call).review_detail();
}

std::uint64_t left_in(const Bytes& partial) {
  proto::Portion portion;
  REQUIRE(portion.ParseFromString(partial));
  return portion.left_mg();
}

proto::Reply accept_beside(Shift& shift, const proto::ReviewItem& item, const std::string& reason) {
  proto::Call call;
  *call.mutable_accept()->mutable_record() = item.records(0);
  call.mutable_accept()->set_rule(item.rule());
  call.mutable_accept()->set_reason(reason);
  for (int i = 1; i < item.records_size(); ++i) *call.mutable_accept()->add_beside() = item.records(i);
  return shift.call(call);
}

}  // namespace

TEST_CASE("a disagreement shows both values with how each came about", "[review]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const auto [meal, portion] = on_north.meal(animal, food, 510, 1'200'000);
  must(on_north.try_left(portion, 10'000, "weighed"));
  facility.exchange_all();
  must(on_north.try_left(portion, 20'000, "weighed again"));
  must(on_south.try_left(portion, 30'000, "with the dish"));
  must(on_south.try_left(portion, 31'000, "without the dish"));
  facility.exchange_all();
  for (Shift* shift : {&on_north, &on_south}) {
    const proto::ReviewReply review = shift->review();
    REQUIRE(review.items_size() == 1);
    const proto::ReviewDetailReply known = detail(*shift, review.items(0));
    REQUIRE(known.sides_size() == 2);
    for (const proto::ReviewSide& side : known.sides()) {
      const bool is_norths = side.head().device_name() == "north tablet";
      CHECK(left_in(side.head().value()) == (is_norths ? 20'000 : 31'000));
      CHECK(side.head().reason() == (is_norths ? "weighed again" : "without the dish"));
      REQUIRE(side.history_size() == (is_norths ? 1 : 2));
      CHECK(left_in(side.history(0).value()) == 10'000);
      CHECK(side.history(0).reason() == "weighed");
      CHECK(side.history(0).author_name() == "Ines Valdor");
      if (!is_norths) CHECK(left_in(side.history(1).value()) == 30'000);
    }
  }
}

TEST_CASE("double entries stand side by side with what differs and what is the same", "[review]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  on_north.meal(animal, food, 510, 1'200'000);
  *south.clock += 120'000;
  on_south.meal(animal, food, 510, 1'150'000);
  facility.exchange_all();
  const proto::ReviewReply review = on_north.review();
  REQUIRE(review.items_size() == 1);
  const proto::ReviewDetailReply known = detail(on_north, review.items(0));
  REQUIRE(known.records_size() == 2);
  std::set<std::string> devices;
  for (const proto::ReviewRecord& record : known.records()) {
    devices.insert(record.device_name());
    REQUIRE(record.parts_size() == 1);
    CHECK(record.history_size() > 0);
  }
  CHECK(devices == std::set<std::string>{"north tablet", "south tablet"});
  std::set<std::uint32_t> differs, same;
  for (const proto::FieldCompared& field : known.compared()) {
    REQUIRE(field.values_size() == 2);
    (field.same() ? same : differs).insert(field.field());
    CHECK(field.same() == (field.values(0) == field.values(1)));
  }
  CHECK(differs == std::set<std::uint32_t>{proto::Meal::kHappenedMsFieldNumber});
  CHECK(same.count(proto::Meal::kSlotMinFieldNumber) == 1);
}

TEST_CASE("entries accepted beside each other are flagged again only when another joins them", "[review]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const RecordId order = on_north.order(animal);
  facility.exchange_all();
  const RecordId first = on_north.dose(order, 480), second = on_south.dose(order, 480);
  facility.exchange_all();
  const proto::ReviewReply review = on_north.review();
  REQUIRE(review.items_size() == 1);
  CHECK(accept_beside(on_north, review.items(0), "").failure().code() == static_cast<std::uint32_t>(ErrorCode::kInvalid));
  REQUIRE_FALSE(accept_beside(on_north, review.items(0), "half at each go, as ordered").has_failure());
  facility.exchange_all();
  CHECK(on_south.review().items_size() == 0);
  for (const RecordId record : {first, second}) CHECK(built_in_of(on_south.load(record).fields).in_account());
  // A third is not covered by a word about two: a possible double dose shows at once.
  const RecordId third = on_south.dose(order, 480);
  REQUIRE(on_south.review().items_size() == 1);
  CHECK(on_south.review().items(0).records_size() == 3);
  on_south.fold(third, first, "told twice");
  CHECK(on_south.review().items_size() == 0);
}

TEST_CASE("a dose given after the next one is flagged until it is corrected or accepted", "[review]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const RecordId order = on_north.order(animal);
  facility.exchange_all();
  *north.clock += 60 * 60'000;
  const RecordId early = on_north.dose(order, 480);
  const RecordId late = on_south.dose(order, 1200);  // Happened an hour before.
  facility.exchange_all();
  for (Shift* shift : {&on_north, &on_south}) {
    const proto::ReviewReply review = shift->review();
    REQUIRE(review.items_size() == 1);
    CHECK(review.items(0).rule() == static_cast<std::uint32_t>(ReviewRule::kDoseOutOfOrder));
    CHECK(review.items(0).rule_name() == "dose_out_of_order");
    CHECK(review.items(0).records(0).seq() == early.seq);
    CHECK(review.items(0).records(1).seq() == late.seq);
    CHECK(detail(*shift, review.items(0)).records_size() == 2);
    CHECK(shift->rebuild().same());
  }
  proto::Administration at;
  at.set_happened_ms(Facility::kStartMs - 60'000);
  at.set_utc_offset_min(0);
  must(on_north.try_edit(early, at, "the clock on the wall was read wrong"));
  CHECK(on_north.review().items_size() == 0);
  facility.exchange_all();
  at.set_happened_ms(Facility::kStartMs + 120 * 60'000);
  must(on_south.try_edit(early, at, "it was so after all"));
  REQUIRE(on_south.review().items_size() == 1);
  proto::Call call;
  *call.mutable_accept()->mutable_record() = on_south.review().items(0).records(0);
  call.mutable_accept()->set_rule(static_cast<std::uint32_t>(ReviewRule::kDoseOutOfOrder));
  call.mutable_accept()->set_reason("the vet knows of it");
  on_south.must_call(call);
  CHECK(on_south.review().items_size() == 0);
  // Taken out of account, it has no order.
  facility.exchange_all();
  on_north.strike(late, "another animal's");
  CHECK(on_north.review().items_size() == 0);
  CHECK(on_north.rebuild().same());
}

TEST_CASE("records folded into each other count nowhere and are shown until one counts again", "[review]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  const RecordId first = on_north.meal(animal, food, 510, 1'200'000).first;
  const RecordId second = on_south.meal(animal, food, 510, 1'200'000).first;
  facility.exchange_all();
  on_north.fold(first, second, "told twice");
  on_south.fold(second, first, "told twice");
  facility.exchange_all();
  const proto::ReviewReply review = on_north.review();
  REQUIRE(review.items_size() == 1);
  CHECK(review.items(0).rule_name() == "fold_astray");
  CHECK(review.items(0).records_size() == 2);
  CHECK(review.SerializeAsString() == on_south.review().SerializeAsString());
  on_north.unfold(first, "this one stays");
  facility.exchange_all();
  CHECK(on_south.review().items_size() == 0);
  CHECK(built_in_of(on_south.load(first).fields).in_account());
  CHECK_FALSE(built_in_of(on_south.load(second).fields).in_account());
}

TEST_CASE("an item that is settled meanwhile is not found, in words", "[review]") {
  TwoKeepers keepers;
  proto::Call call;
  call.mutable_review_detail()->set_rule(static_cast<std::uint32_t>(ReviewRule::kDoubleEntry));
  *call.mutable_review_detail()->mutable_record() = ref_of(keepers.animal);
  const proto::Reply reply = keepers.on_north.call(call);
  CHECK(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kNotFound));
  CHECK(reply.failure().message().find("read the queue anew") != std::string::npos);
}
