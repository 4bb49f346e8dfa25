// Goal: whatever disks, clocks, networks and people do, replicas that have exchanged hold the same, and nothing that was
// acknowledged is lost. Method: schedules.
//
// WRACKLINE_SCHEDULES=N runs so many; a schedule that fails says its own seed, with which it is replayed alone.
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <ctime>

#include "simulation/schedule.h"

using namespace wrackline;

TEST_CASE("after any schedule of faults all replicas hold the same and nothing acknowledged is lost", "[simulation]") {
  const char* wanted = std::getenv("WRACKLINE_SCHEDULES");
  const std::uint64_t schedules = wanted != nullptr ? std::strtoull(wanted, nullptr, 10) : 500;
  REQUIRE(schedules > 0);
  Totals totals;
  const std::clock_t start = std::clock();
  for (std::uint64_t n = 0; n < schedules; ++n) {
    const std::uint64_t seed = schedule_seed(test_seed(), n);
    const Outcome outcome = run_schedule(seed);
    totals.add(outcome);
    if (!outcome.is_sound) {
      FAIL_CHECK("schedule " << n << " after " << outcome.steps << " steps: " << outcome.what
                             << "\nreplay it alone: WRACKLINE_SEED=" << seed << " WRACKLINE_SCHEDULES=1");
    }
  }
  std::printf("%s  %.1f s of processor time\n", totals.text().c_str(), static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
  // Without faults nothing was shown. A single schedule that is replayed need not have them all.
  if (schedules < 500) return;
  CHECK(totals.disks.crashes > schedules / 10);
  CHECK(totals.disks.torn > schedules / 10);
  CHECK(totals.disks.full > 0);
  CHECK(totals.disks.errors > 0);
  CHECK(totals.branches > 0);
  CHECK(totals.held > 0);
  CHECK(totals.disagreements > schedules / 10);
  for (const char* kind : {"hub restored", "tablet restored, fenced", "tablet restored, no fence", "tablet cloned, fenced",
                           "tablet cloned, no fence", "device revoked", "device's key changed", "hub's key handed over",
                           "hub's key lost", "hub's key pinned anew", "append out of reach", "append kept unheard",
                           "another hub was first", "shared log forgot its end", "courier", "lie told",
                           "liar forked its log", "crash in an exchange", "message altered", "partition"}) {
    INFO(kind);
    CHECK(totals.counts.faults[kind] > 0);
  }
}

TEST_CASE("a schedule follows from its seed to the last byte", "[simulation]") {
  for (std::uint64_t n = 0; n < 20; ++n) {
    const std::uint64_t seed = schedule_seed(test_seed() + 1, n);
    const Outcome first = run_schedule(seed), second = run_schedule(seed);
    INFO("schedule seed " << seed);
    CHECK(first.checked.state == second.checked.state);
    CHECK(first.disks.calls == second.disks.calls);
    CHECK(first.counts.messages == second.counts.messages);
  }
}
