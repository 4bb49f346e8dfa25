// Goal: no short sequence of dangerous acts loses what was acknowledged, or lets two replicas that hold the same tell differently.
// Method: all of them (small_worlds.h).
//
// WRACKLINE_WORLDS_SECONDS=N goes as deep as it comes in that time.
#include <catch2/catch.hpp>
#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "simulation/small_worlds.h"

using namespace wrackline;

namespace {

constexpr double kSecondsMax = 600;
constexpr unsigned kUsualDepth = 3, kUsualCalmDepth = 2;
constexpr std::size_t kTwins = 40;

}  // namespace

TEST_CASE("no short sequence of acts loses what was acknowledged or makes replicas differ", "[simulation][worlds]") {
  const char* wanted = std::getenv("WRACKLINE_WORLDS_SECONDS");
  WorldsBudget budget{kSecondsMax, kUsualDepth, kUsualCalmDepth, kTwins};
  if (wanted != nullptr) budget = {std::min(std::strtod(wanted, nullptr), kSecondsMax), 100, kUsualCalmDepth + 1, kTwins};
  REQUIRE(budget.seconds > 0);
  const WorldsReport report = explore_small_worlds(budget);
  std::printf("%s", report.text().c_str());
  if (report.failure) FAIL_CHECK(report.failure->what);
  CHECK(report.depth > 0);
  CHECK(report.merged > 0);
  CHECK(report.orders > 0);
  CHECK(report.twins > 0);
}

TEST_CASE("sequences of acts that once failed go well", "[simulation][worlds]") {
  const std::vector<std::vector<std::string>> sequences = {
      // The hub was told of a branch, and got what it holds of it, before the log that it leaves.
      {"north's database is put back", "a meal is entered at north", "north exchanges", "the hub's database is put back, and the hub is told so", "north exchanges"},
      // A bundle brought changes, and nobody told when.
      {"a bundle goes from south to the hub"},
  };
  for (const std::vector<std::string>& sequence : sequences) {
    const WorldsReport report = replay_small_world(sequence);
    INFO(sequence.back());
    if (report.failure) FAIL_CHECK(report.failure->what);
    CHECK(report.steps == sequence.size());
    CHECK(report.calms == 2);
  }
}
