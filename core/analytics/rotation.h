// In what order enrichers might be offered next, so that none comes too soon, none is forgotten, and none is used that
// nobody has found safe.
//
// A suggestion with its reason; a person who knows the animal chooses. Rotation by least recently and least often used
// with a minimum gap: common practice, no source.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/ids.h"

namespace wrackline {

struct EnricherFacts {
  std::string name;
  std::uint32_t gap_days = 0;  // Least days from one use to the next with this animal; 0 = none.
  std::uint32_t uses = 0;      // With this animal, in the span looked at.
  std::optional<Day> last_used;
  // Inspection, when the enricher asks for it.
  std::optional<std::uint32_t> inspect_every_days;
  std::optional<Day> last_inspected;
  bool found_unsafe = false;  // Its last inspection found it unsafe, whether it asks for any or not.
};

enum class EnricherStanding : std::uint8_t { kReady, kTooSoon, kInspectionDue, kUnsafe };

struct RankedEnricher {
  std::size_t index = 0;  // Into what was given.
  EnricherStanding standing = EnricherStanding::kReady;
  std::optional<Day> ready_day;  // The day from which one that is too soon may be offered.
};

// Ready ones first, then by how little stands in the way; within that the one used longest ago first (never used
// before all), then least often, then by name, then as given.
std::vector<RankedEnricher> rank_enrichers(const std::vector<EnricherFacts>& enrichers, Day day);

}  // namespace wrackline
