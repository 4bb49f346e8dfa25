#include "support/random.h"

#include <cstdlib>
#include <random>

namespace wrackline {

std::uint64_t test_seed() {
  static const std::uint64_t seed = [] {
    if (const char* given = std::getenv("WRACKLINE_SEED"))
      return std::uint64_t{std::strtoull(given, nullptr, 10)};
    return std::uint64_t{std::random_device()()};  // 32 bits: short enough to be typed again.
  }();
  return seed;
}

// SplitMix64 (Steele, Lea & Flood 2014), constants from memory; any good mixer would do here.
std::uint64_t Random::next() {
  std::uint64_t z = (state_ += 0x9e3779b97f4a7c15ull);
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
  return z ^ (z >> 31);
}

Bytes Random::bytes(std::size_t count) {
  Bytes out;
  out.reserve(count);
  while (out.size() < count) out.push_back(static_cast<char>(next()));
  return out;
}

Random test_random(std::string_view test) {
  std::uint64_t stream = test_seed();
  for (unsigned char c : test) stream = Random(stream ^ c).next();
  return Random(stream);
}

}  // namespace wrackline
