// Random choices for generator tests, all drawn from one seed so that a failure can be replayed.
//
// The seed is WRACKLINE_SEED from the environment, or drawn afresh; the test program prints it. Each test
// draws from a stream of its own, so that it behaves the same when it is run alone.
#pragma once

#include <cstdint>
#include <string_view>
#include <utility>
#include <vector>

#include "base/bytes.h"

namespace wrackline {

// The seed of this run.
std::uint64_t test_seed();

// A small generator of our own: the standard's distributions differ between libraries, a seed must not.
class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}

  std::uint64_t next();
  // 0 to n - 1; n > 0. Not quite even for huge n, which no test minds.
  std::uint64_t below(std::uint64_t n) { return next() % n; }
  // True once in n times on average; n > 0.
  bool once_in(std::uint64_t n) { return below(n) == 0; }
  Bytes bytes(std::size_t count);

  template <typename T>
  const T& pick(const std::vector<T>& from) {
    return from[static_cast<std::size_t>(below(from.size()))];
  }
  template <typename T>
  void shuffle(std::vector<T>& items) {
    for (std::size_t i = items.size(); i > 1; --i)
      std::swap(items[i - 1], items[static_cast<std::size_t>(below(i))]);
  }

 private:
  std::uint64_t state_;
};

// The stream of one test; `test` is any name that no other test uses.
Random test_random(std::string_view test);

}  // namespace wrackline
