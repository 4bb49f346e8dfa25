// Goal: which keys are the hub's follows from one pinned key and the records alone. Method: invented keys, which are
// never used to sign; records in random orders.
#include <algorithm>
#include <catch2/catch.hpp>

#include "store/hub_lineage.h"
#include "support/random.h"

using namespace wrackline;

namespace {

PublicKey key(unsigned char number) {
  PublicKey out{};
  out[0] = number;
  return out;
}

LogId log_of(unsigned char number) { return LogId{1000u + number}; }

// Key `by`, in change `seq` of its one log, names `named`.
HubKeyRecord names(unsigned char by, Seq seq, unsigned char named, std::vector<ChangeId> ends = {}) {
  return {{log_of(by), seq}, key(by), key(named), std::move(ends)};
}

// Key 1 gave way to 2 at its change 10, and 2 to 3 at its change 20.
std::vector<HubKeyRecord> two_changes_of_key() {
  return {names(1, 10, 2), names(2, 1, 1, {{log_of(1), 10}}), names(2, 20, 3), names(3, 1, 2, {{log_of(2), 20}})};
}

LogEntry entry(unsigned char number) {
  LogEntry log;
  log.id = log_of(number);
  log.opening.emplace().device = key(number);
  return log;
}

}  // namespace

TEST_CASE("without a pinned key nobody is the hub, and with one it alone is", "[hub]") {
  CHECK_FALSE(HubLineage().is_key(key(1)));
  CHECK(HubLineage().in_use() == PublicKey{});
  const HubLineage hub(key(1), {});
  CHECK(hub.is_key(key(1)));
  CHECK(hub.in_use() == key(1));
  CHECK_FALSE(hub.is_former(key(1)));
  CHECK_FALSE(hub.is_key(key(2)));
  CHECK(hub.speaks(entry(1), kSeqMax));
  CHECK_FALSE(hub.speaks(entry(2), 1));
}

TEST_CASE("the same keys of the hub are known and former, whichever of them is pinned", "[hub]") {
  for (const unsigned char pinned : {1, 2, 3}) {
    const HubLineage hub(key(pinned), two_changes_of_key());
    CHECK(hub.keys().size() == 3);
    CHECK(hub.keys().front() == key(pinned));
    CHECK(hub.is_former(key(1)));
    CHECK(hub.is_former(key(2)));
    CHECK_FALSE(hub.is_former(key(3)));
    CHECK(hub.in_use() == key(3));
    CHECK(hub.speaks(entry(1), 10));
    CHECK_FALSE(hub.speaks(entry(1), 11));
    CHECK(hub.speaks(entry(2), 20));
    CHECK_FALSE(hub.speaks(entry(2), 21));
    CHECK(hub.speaks(entry(3), kSeqMax));
  }
}

TEST_CASE("a former key's other logs, and what it says behind its end, count for nothing", "[hub]") {
  std::vector<HubKeyRecord> records = two_changes_of_key();
  records.push_back(names(1, 11, 9));                       // Behind the end.
  records.push_back({{LogId{7}, 1}, key(2), key(8), {}});  // In a log that key 3 does not name.
  for (const unsigned char pinned : {1, 3}) {
    const HubLineage hub(key(pinned), records);
    CHECK_FALSE(hub.is_key(key(9)));
    CHECK(hub.reach(LogId{7}, key(2)) == 0);
  }
  // A replica pinned at 3 heard where 2 ends before it looks at what 2 says.
  CHECK_FALSE(HubLineage(key(3), records).is_key(key(8)));
}

TEST_CASE("a record in a log that is not the hub's names nobody", "[hub]") {
  const HubLineage hub(key(1), {names(5, 1, 6), names(6, 1, 5), names(5, 2, 1, {{log_of(1), 0}})});
  CHECK(hub.keys().size() == 1);
  CHECK_FALSE(hub.is_former(key(1)));
}

TEST_CASE("a key that names itself, and keys in a circle, come to an end", "[hub]") {
  const HubLineage hub(key(1), {names(1, 1, 1, {{log_of(1), 0}}), names(1, 2, 2), names(2, 1, 3), names(3, 1, 1, {{log_of(1), 2}})});
  CHECK(hub.keys().size() == 3);
  CHECK(hub.speaks(entry(1), 2));
  CHECK_FALSE(hub.speaks(entry(1), 3));
}

TEST_CASE("the order in which records came does not matter", "[hub]") {
  Random random = test_random("hub lineage");
  for (int round = 0; round < 400; ++round) {
    std::vector<HubKeyRecord> records;
    const std::uint64_t count = 1 + random.below(12);
    for (std::uint64_t i = 0; i < count; ++i) {
      std::vector<ChangeId> ends;
      const auto named = static_cast<unsigned char>(1 + random.below(6));
      for (std::uint64_t end = random.below(3); end > 0; --end) {
        ends.push_back({log_of(named), static_cast<Seq>(random.below(12))});
      }
      records.push_back(names(static_cast<unsigned char>(1 + random.below(6)), static_cast<Seq>(i + 1), named, std::move(ends)));
    }
    const auto pinned = key(static_cast<unsigned char>(1 + random.below(6)));
    const HubLineage before(pinned, records);
    for (std::size_t i = records.size(); i > 1; --i) std::swap(records[i - 1], records[static_cast<std::size_t>(random.below(i))]);
    const HubLineage after(pinned, records);
    REQUIRE(before.keys() == after.keys());
    for (unsigned char number = 1; number <= 6; ++number) {
      REQUIRE(before.is_former(key(number)) == after.is_former(key(number)));
      REQUIRE(before.reach(log_of(number), key(number)) == after.reach(log_of(number), key(number)));
    }
  }
}
