// One schedule: a small facility, a few dozen steps of work and faults, a calm, and the oracles. All of it follows from
// the seed, to the last byte.
#pragma once

#include <cstdint>
#include <string>

#include "simulation/oracles.h"

namespace wrackline {

struct Outcome {
  bool is_sound = true;
  std::string what;  // The fault of a schedule that does not hold.
  std::uint64_t steps = 0, looks = 0;
  WorldCounts counts;
  DiskCounts disks;
  Checked checked;
};

Outcome run_schedule(std::uint64_t seed);

// The seed of the n-th schedule of a run. That of the first is the run's own, so that one schedule is replayed alone.
std::uint64_t schedule_seed(std::uint64_t run_seed, std::uint64_t n);

// Sums for the report of a run.
struct Totals {
  std::uint64_t schedules = 0, steps = 0, looks = 0, replicas = 0, changes = 0, disagreements = 0, held = 0, branches = 0;
  WorldCounts counts;
  DiskCounts disks;
  void add(const Outcome& outcome);
  std::string text() const;
};

}  // namespace wrackline
