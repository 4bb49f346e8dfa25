// Made-up chance, the same for a seed on every machine. (SplitMix64, Steele, Lea & Flood 2014; constants from
// memory.) Whole numbers only, since the last bit of a sine is not the same everywhere.
#pragma once

#include <cstdint>
#include <vector>

namespace wrackline::demo {

class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed) {}

  std::uint64_t next() {
    std::uint64_t z = (state_ += 0x9e3779b97f4a7c15ull);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
    return z ^ (z >> 31);
  }
  // 0 to n - 1; n > 0.
  std::int64_t below(std::int64_t n) {
    return static_cast<std::int64_t>(next() % static_cast<std::uint64_t>(n));
  }
  // True once in n times on average.
  bool once_in(std::int64_t n) { return below(n) == 0; }
  // From -n to n, those near 0 more often: the sum of three throws.
  std::int64_t about_zero(std::int64_t n) {
    return (below(2 * n + 1) + below(2 * n + 1) + below(2 * n + 1)) / 3 - n;
  }
  template <typename T>
  const T& pick(const std::vector<T>& from) {
    return from[static_cast<std::size_t>(below(static_cast<std::int64_t>(from.size())))];
  }

 private:
  std::uint64_t state_;
};

}  // namespace wrackline::demo
