// Goal: questions about keys see what was inserted, written to SQLite yet or not. Method: a table inside a
// transaction, compared after every insert with a list kept beside it.
#include "store/key_table.h"

#include <catch2/catch.hpp>

#include <algorithm>

#include "store/schema.h"
#include "support/facility.h"
#include "support/random.h"

using namespace wrackline;

TEST_CASE("keys are found before and after they reach the disk, and not after they are erased", "[store]") {
  ScratchFolder folder;
  auto database = Database::open(folder / "keys.db", Database::Mode::kCreate);
  REQUIRE(database);
  REQUIRE(create_schema(**database));
  KeyTable keys(**database);
  Random random(test_seed());
  std::vector<std::pair<Key, Place>> expected;
  const auto members_expected = [&](const Key& key) {
    std::vector<Place> out;
    for (const auto& [k, place] : expected) {
      if (k == key) out.push_back(place);
    }
    std::sort(out.begin(), out.end());
    return out;
  };
  for (Place place = 1; place <= 1000; ++place) {
    const Key key{static_cast<Place>(1 + random.below(3)), 7, static_cast<Day>(random.below(2)),
                  static_cast<std::int64_t>(random.below(3))};
    REQUIRE(keys.has(key).value() == !members_expected(key).empty());
    REQUIRE(keys.insert(key, place, "brief"));
    expected.emplace_back(key, place);
    REQUIRE(keys.members(key).value() == members_expected(key));
    if (random.below(10) == 0) {
      const std::size_t gone = random.below(expected.size());
      REQUIRE(keys.erase(expected[gone].first, expected[gone].second));
      expected.erase(expected.begin() + static_cast<std::ptrdiff_t>(gone));
    }
  }
  REQUIRE(keys.find_all_subjects(static_cast<Kind>(7), 0, 1).value().size() == expected.size());
}
