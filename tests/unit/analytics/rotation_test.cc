// analytics/rotation.h: what may be offered next, and over many days that nothing is forgotten.
#include "analytics/rotation.h"

#include <catch2/catch.hpp>

#include <algorithm>

#include "support/random.h"

using namespace wrackline;

TEST_CASE("what is ready comes first, used longest ago before others, then least often, then by name", "[analytics]") {
  const Day day = 100;
  const std::vector<EnricherFacts> facts = {
      {"ball", 3, 5, 99, {}, {}, false},      // Too soon.
      {"jar", 0, 2, 90, {}, {}, false},       //
      {"ice", 0, 1, 90, {}, {}, false},       // It was offered as long ago, and less often.
      {"rope", 0, 0, {}, {}, {}, true},       // Unsafe, though never used.
      {"boomer", 0, 0, {}, {}, {}, false},    // Never used.
      {"tunnel", 0, 0, {}, 7, 93, false},     // Inspected seven days ago: due.
      {"mirror", 0, 3, 90, 7, 94, false},     // Inspected six days ago.
  };
  std::vector<std::string> names;
  const std::vector<RankedEnricher> ranked = rank_enrichers(facts, day);
  for (const RankedEnricher& one : ranked) names.push_back(facts[one.index].name);
  CHECK(names == std::vector<std::string>{"boomer", "ice", "jar", "mirror", "ball", "tunnel", "rope"});
  CHECK(ranked[4].standing == EnricherStanding::kTooSoon);
  CHECK(ranked[4].ready_day == 102);
  CHECK(ranked[5].standing == EnricherStanding::kInspectionDue);
  CHECK(ranked[6].standing == EnricherStanding::kUnsafe);
}

TEST_CASE("a gap is over on its last day, and not a day before", "[analytics]") {
  const std::vector<EnricherFacts> facts = {{"ball", 3, 1, 100, {}, {}, false}};
  CHECK(rank_enrichers(facts, 102)[0].standing == EnricherStanding::kTooSoon);
  CHECK(rank_enrichers(facts, 103)[0].standing == EnricherStanding::kReady);
}

TEST_CASE("following the suggestion breaks no gap and uses everything evenly", "[analytics]") {
  Random random = test_random("rotation");
  for (int run = 0; run < 200; ++run) {
    std::vector<EnricherFacts> facts(2 + random.below(6));
    for (std::size_t i = 0; i < facts.size(); ++i) {
      facts[i].name = "enricher " + std::to_string(i);
      // No gap so long that the others could not fill it.
      facts[i].gap_days = static_cast<std::uint32_t>(random.below(facts.size()));
    }
    for (Day day = 0; day < 100; ++day) {
      const RankedEnricher first = rank_enrichers(facts, day).front();
      REQUIRE(first.standing == EnricherStanding::kReady);
      EnricherFacts& chosen = facts[first.index];
      if (chosen.last_used) REQUIRE(day - *chosen.last_used >= static_cast<Day>(chosen.gap_days));
      chosen.last_used = day;
      ++chosen.uses;
    }
    const auto [least, most] = std::minmax_element(facts.begin(), facts.end(),
                                                   [](const auto& a, const auto& b) { return a.uses < b.uses; });
    REQUIRE(most->uses - least->uses <= 1);
  }
}
