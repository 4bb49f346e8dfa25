// Goal: questions about keys see what was inserted, written to SQLite yet or not. Method: a table inside a
// transaction, compared after every insert with a list kept beside it.
#include "store/key_table.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <tuple>

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

TEST_CASE("a day with many details answers for each of them, stored yet or not", "[store]") {
  ScratchFolder folder;
  auto database = must(Database::open(folder / "keys.db", Database::Mode::kCreate));
  auto transaction = must(Transaction::begin(*database));  // Never ended: nothing here needs to be durable.
  must(create_schema(*database));
  KeyTable keys(*database);
  for (std::int64_t detail = 0; detail < 200; ++detail) {
    const Key key{1, 8, 20'000, detail * 3}, beside{2, 9, 0, detail};
    REQUIRE_FALSE(must(keys.has(key)));
    must(keys.insert(key, 1 + detail, {}));
    REQUIRE(must(keys.has(key)));
    REQUIRE_FALSE(must(keys.has({1, 8, 20'000, detail * 3 + 1})));
    // Another subject between, as portions come between meals.
    REQUIRE_FALSE(must(keys.has(beside)));
    must(keys.insert(beside, 1000 + detail, {}));
    REQUIRE(must(keys.has({1, 8, 20'000, 0})));
  }
}

TEST_CASE("records of everybody come in the order of their days, with and without one", "[store]") {
  Random random = test_random("keys of everybody");
  ScratchFolder folder;
  auto database = must(Database::open(folder / "keys.db", Database::Mode::kCreate));
  auto transaction = must(Transaction::begin(*database));  // Never ended: nothing here needs to be durable.
  must(create_schema(*database));
  KeyTable keys(*database);
  for (const Kind kind : {Kind::kDietPlan, Kind::kPortion, Kind::kMeal}) {
    std::vector<std::pair<Key, Place>> all;
    for (Place place = 1; place <= 200; ++place) {
      const Key key{1 + static_cast<Place>(random.below(4)), static_cast<std::uint32_t>(kind),
                    kind == Kind::kPortion ? 0 : static_cast<Day>(random.below(7)) - 3, static_cast<std::int64_t>(random.below(3))};
      must(keys.insert(key, place, {}));
      all.emplace_back(key, place);
    }
    std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) {
      return std::tie(a.first.day, a.first.subject, a.first.detail, a.second) < std::tie(b.first.day, b.first.subject, b.first.detail, b.second);
    });
    for (Day first = -4; first <= 4; ++first) {
      for (Day last = first; last <= 4; ++last) {
        std::vector<Place> expected;
        for (const auto& [key, place] : all) {
          if (first <= key.day && key.day <= last) expected.push_back(place);
        }
        CAPTURE(static_cast<int>(kind), first, last);
        REQUIRE(must(keys.find_all_subjects(kind, first, last)) == expected);
      }
    }
  }
}

TEST_CASE("what has no day or is not born yet is found by an index, not by a walk", "[store]") {
  ScratchFolder folder;
  auto database = must(Database::open(folder / "keys.db", Database::Mode::kCreate));
  auto transaction = must(Transaction::begin(*database));  // Never ended: nothing here needs to be durable.
  must(create_schema(*database));
  const auto plan_of = [&](const std::string& sql) {
    Statement plan(*database, "EXPLAIN QUERY PLAN " + sql);
    std::string out;
    while (must(plan.step())) out += std::string(plan.blob(3)) + "; ";
    return out;
  };
  CHECK(plan_of("SELECT record FROM key WHERE kind=? AND day=0 AND kind<>9 ORDER BY subject,detail,record").find("INDEX key_without_day") != std::string::npos);
  CHECK(plan_of("SELECT place FROM record WHERE kind=0").find("INDEX record_unborn") != std::string::npos);
}
