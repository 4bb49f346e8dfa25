// All sequences of acts up to a depth, from one opening, on the core itself.
//
// Breadth first, so the first sequence that fails is a shortest one. Sequences that lead to the same world are merged, and an act that finds
// the machines it touches as they were once before is not played again: all that happens follows from their states. Oracles are asked at
// every step: what was acknowledged is where it was written; equal sets of changes show the same; a backup opens, verifies and
// rebuilds; when all have exchanged twice, all are equal, and what the hub holds is the same in whichever order they came.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace wrackline {

struct WorldsBudget {
  double seconds = 0;        // Processor time; an act that was begun is finished.
  unsigned depth_max = 0;
  unsigned calm_depth = 0;   // Behind more acts than this nobody waits for calm, which costs as much as many acts.
  std::size_t twins_max = 0; // Merged machines that are played onwards both ways, to see whether merging is sound.
};

struct WorldsFailure {
  std::vector<std::string> acts;  // In words, from the opening on.
  std::string what;
};

struct WorldsReport {
  std::uint64_t acts = 0;        // To choose from at every step.
  unsigned calm_depth = 0;
  unsigned depth = 0;            // To which all sequences are through.
  std::uint64_t worlds = 0, merged = 0;         // Seen first; and led to once more by another sequence.
  std::uint64_t begun = 0, left = 0;            // Worlds of that depth that were gone on from, and those that were not.
  std::uint64_t steps = 0, played = 0;          // Acts on worlds; and those of them that were played on the core.
  std::uint64_t machines = 0, refused = 0;
  std::uint64_t backups = 0, sets = 0, calms = 0, orders = 0, twins = 0;
  double seconds = 0;
  std::optional<WorldsFailure> failure;
  std::string text() const;
};

// One sequence alone, by its words; then all exchange.
WorldsReport replay_small_world(const std::vector<std::string>& acts);

WorldsReport explore_small_worlds(const WorldsBudget& budget);

}  // namespace wrackline
