// Goal: guessing is slowed for the one who guesses, and nothing is remembered for ever. Method: a clock by
// hand.
#include "attempt_limiter.h"

#include <catch2/catch.hpp>

using namespace wrackline;

namespace {
constexpr WallMs kNow = 1'800'000'000'000;
constexpr WallMs kMinute = 60'000;
}  // namespace

TEST_CASE("after five wrong tries an address waits until the first is ten minutes old", "[limiter]") {
  AttemptLimiter limiter;
  for (WallMs i = 0; i < 5; ++i) {
    CHECK(limiter.wait_ms("a", kNow + i) == 0);
    limiter.note_wrong_try("a", kNow + i);
  }
  CHECK(limiter.wait_ms("a", kNow + kMinute) == 9 * kMinute);
  CHECK(limiter.wait_ms("b", kNow + kMinute) == 0);
  CHECK(limiter.wait_ms("a", kNow + 10 * kMinute - 1) == 1);
  CHECK(limiter.wait_ms("a", kNow + 10 * kMinute) == 0);
  limiter.note_wrong_try("a", kNow + 10 * kMinute);
  CHECK(limiter.wait_ms("a", kNow + 10 * kMinute) == 1);  // The second of the first five is still young.
}

TEST_CASE("a clock that is set back locks nobody out", "[limiter]") {
  AttemptLimiter limiter;
  for (int i = 0; i < 5; ++i) limiter.note_wrong_try("a", kNow);
  CHECK(limiter.wait_ms("a", kNow) > 0);
  CHECK(limiter.wait_ms("a", kNow - 24 * 60 * kMinute) == 0);
}

TEST_CASE("a flood of addresses makes everyone wait instead of being forgotten", "[limiter]") {
  AttemptLimiter::Options options;
  options.addresses_max = 3;
  AttemptLimiter limiter(options);
  for (const char* address : {"a", "b", "c"}) limiter.note_wrong_try(address, kNow);
  CHECK(limiter.wait_ms("d", kNow) > 0);
  CHECK(limiter.wait_ms("a", kNow) == 0);  // Its own tries are counted as ever.
  CHECK(limiter.wait_ms("d", kNow + 10 * kMinute) == 0);
}
