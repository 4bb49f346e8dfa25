// Goal: doses given the other way round than they were due are told, and normal use is not flagged. Method: small orders
// by hand; then random ones, where the rule is laid beside one written another way. Common sense of the work; no source.
#include <algorithm>
#include <catch2/catch.hpp>

#include "model/dose_order.h"
#include "model/kinds.h"
#include "records.pb.h"
#include "support/random.h"

using namespace wrackline;

namespace {

constexpr WallMs kMinute = 60'000, kDayLength = 24 * 60 * kMinute;

SlottedDose dose(Seq seq, Day day, std::uint32_t slot_min, std::int64_t late_min) {
  const std::int64_t due = (100 + day) * static_cast<std::int64_t>(kDayLength) + slot_min * static_cast<std::int64_t>(kMinute);
  return {{LogId{7}, seq}, day, slot_min, static_cast<WallMs>(due + late_min * static_cast<std::int64_t>(kMinute))};
}

std::vector<std::pair<Seq, Seq>> found(std::vector<SlottedDose> doses) {
  std::vector<std::pair<Seq, Seq>> out;
  for (const DosePair& pair : doses_out_of_order(std::move(doses))) out.emplace_back(pair.due_first.seq, pair.given_first.seq);
  return out;
}

using Pairs = std::vector<std::pair<Seq, Seq>>;

}  // namespace

TEST_CASE("doses given in the order they were due are not flagged however early or late", "[dose_order]") {
  CHECK(found({dose(1, 1, 480, 0), dose(2, 1, 1200, 5), dose(3, 2, 480, -30)}).empty());
  // Late by hours, and the next in time.
  CHECK(found({dose(1, 1, 480, 700), dose(2, 1, 1200, 0)}).empty());
  // Made good together with the next one: the interval is the guard's to judge.
  CHECK(found({dose(1, 1, 480, 720), dose(2, 1, 1200, 0)}).empty());
  // Over midnight.
  CHECK(found({dose(1, 1, 1320, 180), dose(2, 2, 480, 0)}).empty());
}

TEST_CASE("a dose given after the one that was due next is flagged with it", "[dose_order]") {
  CHECK(found({dose(1, 1, 480, 750), dose(2, 1, 1200, 0)}) == Pairs{{1, 2}});
  CHECK(found({dose(2, 1, 1200, 0), dose(1, 1, 480, 750)}) == Pairs{{1, 2}});
}

TEST_CASE("a slip of the date in one dose flags one pair and not every dose since", "[dose_order]") {
  const std::int64_t three_days = 3 * 24 * 60;
  CHECK(found({dose(1, 1, 480, three_days), dose(2, 1, 1200, 0), dose(3, 2, 480, 0), dose(4, 2, 1200, 0), dose(5, 3, 480, 0)}) == Pairs{{1, 2}});
}

TEST_CASE("a double entry of the next slot counts by the one that was given first", "[dose_order]") {
  CHECK(found({dose(1, 1, 480, 730), dose(2, 1, 1200, 20), dose(3, 1, 1200, 5)}) == Pairs{{1, 3}});
  CHECK(found({dose(1, 1, 480, 0), dose(2, 1, 480, 30)}).empty());
}

TEST_CASE("doses further apart than two days are no neighbours", "[dose_order]") {
  CHECK(found({dose(1, 1, 480, 10 * 24 * 60), dose(2, 4, 480, 0)}).empty());
  CHECK(found({dose(1, 1, 480, 10 * 24 * 60), dose(2, 3, 480, 0)}) == Pairs{{1, 2}});
}

TEST_CASE("what was never given or names no slot or no time has no place in the order", "[dose_order]") {
  proto::Administration message;
  message.mutable_order()->set_log(3);
  message.mutable_order()->set_seq(1);
  message.set_due_day(20'000);
  message.set_due_slot_min(480);
  message.set_happened_ms(1'728'000'000'000);
  message.set_outcome(proto::OUTCOME_GIVEN);
  const auto counts = [&](auto change) {
    proto::Administration changed = message;
    change(changed);
    return slotted_dose({LogId{7}, 1}, changed.SerializeAsString()).has_value();
  };
  CHECK(counts([](auto&) {}));
  CHECK(counts([](auto& m) { m.set_outcome(proto::OUTCOME_PART); }));
  CHECK(counts([](auto& m) { m.set_outcome(proto::OUTCOME_UNKNOWN); }));
  CHECK_FALSE(counts([](auto& m) { m.set_outcome(proto::OUTCOME_REFUSED); }));
  CHECK_FALSE(counts([](auto& m) { m.set_outcome(proto::OUTCOME_HELD); }));
  CHECK_FALSE(counts([](auto& m) { m.set_outcome(proto::OUTCOME_LOST); }));
  CHECK_FALSE(counts([](auto& m) { m.clear_due_slot_min(); }));
  CHECK_FALSE(counts([](auto& m) { m.clear_happened_ms(); }));
  CHECK_FALSE(counts([](auto& m) { m.set_standing(proto::STANDING_STRUCK); }));
  CHECK_FALSE(counts([](auto& m) { m.mutable_same_as()->set_log(7); m.mutable_same_as()->set_seq(9); }));
}

TEST_CASE("random doses are flagged when a dose of the next slot came before and not otherwise", "[dose_order]") {
  Random random = test_random("dose order");
  std::size_t flagged = 0;
  for (int round = 0; round < 2000; ++round) {
    std::vector<SlottedDose> doses;
    for (Seq seq = 1; seq <= 1 + random.below(8); ++seq)
      doses.push_back(dose(seq, static_cast<Day>(random.below(4)), random.once_in(2) ? 480 : 1200, static_cast<std::int64_t>(random.below(1500)) - 100));
    const auto slot = [](const SlottedDose& d) { return d.due_day * 1440 + static_cast<int>(d.slot_min); };
    std::set<Seq> wanted;
    for (const SlottedDose& a : doses) {
      for (const SlottedDose& b : doses) {
        const bool is_next = slot(b) > slot(a) && b.due_day - a.due_day <= 2 && std::none_of(doses.begin(), doses.end(), [&](const SlottedDose& c) {
          return slot(c) > slot(a) && slot(c) < slot(b);
        });
        if (is_next && b.happened_ms < a.happened_ms) wanted.insert(a.id.seq);
      }
    }
    random.shuffle(doses);
    std::set<Seq> got;
    for (const auto& [first, second] : found(doses)) got.insert(first);
    REQUIRE(got == wanted);
    flagged += got.size();
  }
  REQUIRE(flagged > 100);
}
