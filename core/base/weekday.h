// The weekday of a day, and whether a plan's weekdays hold on it.
#pragma once

#include <cstdint>

#include "base/ids.h"

namespace wrackline {

// 1 = Monday .. 7 = Sunday, as ISO 8601 counts. Day 0 was a Thursday.
constexpr std::uint32_t iso_weekday(Day day) {
  const std::int64_t since_monday = (std::int64_t{day} + 3) % 7;
  return static_cast<std::uint32_t>((since_monday + 7) % 7 + 1);
}

// Bits 0..6 = Monday..Sunday; 0 = every day. Higher bits mean nothing.
constexpr bool is_on_weekday(Day day, std::uint32_t weekdays) {
  return weekdays == 0 || (weekdays >> (iso_weekday(day) - 1) & 1u) != 0;
}

}  // namespace wrackline
