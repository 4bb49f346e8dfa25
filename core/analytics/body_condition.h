// Mass for length: is a body thin or heavy for its size.
//
// An index compares an animal with itself, or with its own species at its own size. No threshold stands here:
// a proposed one, such as 1.2 for the turtle index, holds for some species and sizes and not for others
// (Nishizawa & Joseph 2022: not for hawksbills or hatchlings). The vet judges condition.
#pragma once

#include <cstdint>

#include "base/result.h"

namespace wrackline {

enum class LengthKind : std::uint8_t {
  kStraight,  // Calipers or a board, end to end.
  kCurved,    // A tape laid over the body.
};

struct BodyLength {
  LengthKind kind = LengthKind::kStraight;
  std::uint64_t um = 0;
};

// Both cube the length, so a curved length in place of a straight one would make a sound animal look thin. It
// is refused and never converted: conversions hold for the population they were measured in (allometry.h).
// Errors: kInvalid for a curved length, a length of 0 or a mass of 0.

// Body condition index of a turtle: mass (kg) / straight carapace length (cm)^3 * 10,000. Bjorndal, Bolten &
// Chaloupka 2000, Ecol. Appl. 10:269-282 (citation from memory).
Result<double> body_condition_index(std::uint64_t mass_mg, const BodyLength& length);

// Fulton's K of a fish: 100 * mass (g) / length (cm)^3. Fulton 1904; Ricker 1975 (citations from memory).
// Total, fork and standard length give different K: compare like with like.
Result<double> fulton_k(std::uint64_t mass_mg, const BodyLength& length);

}  // namespace wrackline
