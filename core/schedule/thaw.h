// How long a batch of thawed food may be fed, by its two clocks.
//
// The defaults are 9 CFR 3.105 (United States, marine mammals): food is fed within 24 hours of leaving the
// freezer, or, when it was thawed under refrigeration, within 24 hours of being thawed. They are defaults of
// a parameter: local codes, the food's kind and the vet may ask for less, and a site's limit carries its
// source. Being within the limit says nothing about smell, temperature or a broken chain of cold. Never
// refreeze.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

enum class ThawMethod {
  kColdWater,  // Standing or running cold water, or anything but a refrigerator: the stricter clock
  kRefrigeration,
};

enum class ThawClock { kSinceFreezer, kSinceThawed };

struct ThawLimits {
  std::uint32_t since_freezer_min = 24 * 60;
  std::uint32_t since_thawed_min = 24 * 60;
  std::string source = "9 CFR 3.105";
};

struct ThawBatch {
  ThawMethod method = ThawMethod::kColdWater;
  WallMs out_of_freezer_ms = 0;
  std::optional<WallMs> thawed_ms;  // When the whole batch was found thawed; absent = not recorded
};

enum class ThawState {
  kUsable,      // Up to and including the last instant
  kPastLimit,   // Do not feed
  kNotRunning,  // Under refrigeration, and it is not recorded when it was thawed: this clock cannot run yet
};

struct ThawStanding {
  ThawState state = ThawState::kUsable;
  ThawClock clock = ThawClock::kSinceFreezer;  // The one that decides
  std::optional<WallMs> usable_until_ms;       // Absent with kNotRunning
};

// Errors: kInvalid: thawed before it left the freezer, either later than `now_ms`, or a limit of 0.
Result<ThawStanding> thaw_standing(const ThawBatch& batch, const ThawLimits& limits, WallMs now_ms);

}  // namespace wrackline
