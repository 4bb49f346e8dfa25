// The work both sides of the benchmark do: portions of meals, five foods a meal, weighed gross and tare, with
// what was left. The same numbers go into Wrackline and into plain SQLite.
#pragma once

#include <cstdint>
#include <vector>

namespace wrackline::bench {

struct PortionRow {
  std::uint32_t meal;  // 0, 1, 2 …; five portions a meal.
  std::uint32_t food;  // 0 … 4
  std::uint32_t gross_mg;
  std::uint32_t tare_mg;
  std::uint32_t left_mg;
};

inline std::vector<PortionRow> portion_rows(std::size_t count, std::uint64_t seed) {
  std::vector<PortionRow> rows(count);
  std::uint64_t state = seed;
  const auto next = [&state](std::uint32_t n) {
    state = state * 6364136223846793005ull + 1442695040888963407ull;
    return static_cast<std::uint32_t>((state >> 33) % n);
  };
  for (std::size_t i = 0; i < count; ++i) {
    const std::uint32_t tare = 250'000;
    rows[i] = {static_cast<std::uint32_t>(i / 5), static_cast<std::uint32_t>(i % 5), tare + 1000 * (50 + next(1500)),
               tare, next(3) == 0 ? 1000 * next(80) : 0};
  }
  return rows;
}

}  // namespace wrackline::bench
