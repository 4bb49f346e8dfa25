// Quartiles of whole numbers, without leaving whole numbers.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "base/rounding.h"

namespace wrackline {

// Four times the quartile: 1 = lower, 2 = median, 3 = upper. Type 7 of Hyndman & Fan 1996, as in
// descriptive.h; it lies at a quarter of the way between two figures or at one of them, so four times it is
// whole. `sorted` is not empty.
inline Int128 four_times_quartile(const std::vector<std::int64_t>& sorted, int quartile) {
  const std::size_t quarters = (sorted.size() - 1) * static_cast<std::size_t>(quartile);
  const std::size_t below = quarters / 4;
  const Int128 value = sorted[below];
  if (quarters % 4 == 0) return 4 * value;
  return 4 * value + static_cast<Int128>(quarters % 4) * (sorted[below + 1] - value);
}

}  // namespace wrackline
