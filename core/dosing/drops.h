// Drops: a count of something whose size the product decides.
//
// A drop has no volume of its own: handbooks print 20 to the millilitre and 60 to 5 mL on the same sheet, and
// giving sets are made for 10 to 60. So every function asks for the product's or the set's own factor.
#pragma once

#include <cstdint>

#include "dosing/exact_amount.h"

namespace wrackline {

inline constexpr std::uint32_t kDropsPerMlMax = 1000;

// How many drops a volume is. Errors: kInvalid: a 0, or a factor over kDropsPerMlMax.
Result<ExactAmount> drops_of_volume(std::uint64_t volume_ul, std::uint32_t drops_per_ml);

// Drops a minute that let `volume_ul` in during `duration_min`. Drops are counted whole: round with
// whole_drops. Errors: as above.
Result<ExactAmount> drops_per_minute(std::uint64_t volume_ul, std::uint32_t duration_min,
                                     std::uint32_t drops_per_ml);

// The nearest whole drop, halves up. Errors: kInvalid when that is none, or too many to count.
Result<std::uint64_t> whole_drops(const ExactAmount& drops);

}  // namespace wrackline
