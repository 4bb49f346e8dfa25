// This file says what of an animal's feeding somebody should be told today. Pure: the caller hands in what is in account.
//
// Inappetence of over 24 hours is to be told to the vet at once (9 CFR 3.105; United States, marine mammals).
// A day is 24 hours by the clock here, whatever the calendar does; exactly 24 hours are not over 24 hours.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "analytics/intake.h"
#include "base/ids.h"

namespace wrackline {

inline constexpr std::uint64_t kNotEatingMs = 24 * 3'600'000ull;

enum class Eaten : std::uint8_t {
  kSomething,
  kNothing,   // Food was offered and all of it came back, or more.
  kNotKnown,  // No food is written down, or not all of it was weighed back.
};

// Says how much of a meal was eaten: something, as soon as one portion lost mass.
Eaten eaten_of(const std::vector<IntakePortion>& portions);

// More came back of a portion than was offered, its leftover corrected by the control.
bool is_left_above_offered(const IntakePortion& portion);

struct FedMeal {
  WallMs at_ms = 0;
  Eaten eaten = Eaten::kNotKnown;
};

struct NotEating {
  WallMs since_ms = 0;        // The last meal of which something was, or may have been, eaten.
  std::size_t last_meal = 0;  // Index of the last meal that was refused.
};

// Nothing was eaten for over 24 hours before `now_ms`, and food was offered in them. Counted from the last
// meal that was eaten, or of which it is not known (not known is never nothing); when there is none such,
// from the first that was refused. `meals` in the order of time; later ones than `now_ms` do not count.
std::optional<NotEating> not_eating(const std::vector<FedMeal>& meals, WallMs now_ms);

// For over 24 hours before `now_ms` no meal is recorded although one was planned: since the last meal, or
// since the first planned one when there is no meal. A day on which the plan feeds nothing is no such day, so
// a plan of three days a week is not told of on the others. `planned_ms`: when meals were planned, in the
// order of time.
std::optional<WallMs> not_fed(std::optional<WallMs> last_meal_ms, const std::vector<WallMs>& planned_ms,
                              WallMs now_ms);

}  // namespace wrackline
