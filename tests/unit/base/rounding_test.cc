// base/rounding.h: nearest whole numbers, ratios, and numbers that do not fit.
#include "base/rounding.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

namespace {

constexpr std::int64_t kMax = std::numeric_limits<std::int64_t>::max();
constexpr std::int64_t kMin = std::numeric_limits<std::int64_t>::min();

std::int64_t rounded(std::int64_t dividend, std::int64_t divisor) {
  return static_cast<std::int64_t>(divide_rounded(dividend, divisor));
}

}  // namespace

TEST_CASE("halves round away from zero, on both sides", "[analytics]") {
  CHECK(rounded(1, 2) == 1);
  CHECK(rounded(-1, 2) == -1);
  CHECK(rounded(3, 2) == 2);
  CHECK(rounded(-3, 2) == -2);
  CHECK(rounded(7, 4) == 2);
  CHECK(rounded(5, 4) == 1);
  CHECK(rounded(-5, 4) == -1);
  CHECK(rounded(0, 7) == 0);
  // An odd divisor has no halves: 3/7 is below, 4/7 above.
  CHECK(rounded(3, 7) == 0);
  CHECK(rounded(4, 7) == 1);
  CHECK(rounded(-4, 7) == -1);
}

TEST_CASE("the rounded quotient is the nearest whole number", "[analytics]") {
  Random random = test_random("nearest");
  for (int i = 0; i < 5000; ++i) {
    const Int128 dividend = static_cast<std::int64_t>(random.next());
    const Int128 divisor = 1 + static_cast<Int128>(random.next() >> (random.below(63)));
    const Int128 twice_off = 2 * (dividend - divide_rounded(dividend, divisor) * divisor);
    REQUIRE(twice_off <= divisor);
    REQUIRE(-twice_off <= divisor);
    REQUIRE(divide_rounded(-dividend, divisor) == -divide_rounded(dividend, divisor));
  }
}

TEST_CASE("a number that does not fit is none, not the nearest that would", "[analytics]") {
  CHECK(fit<std::int64_t>(kMax) == kMax);
  CHECK(fit<std::int64_t>(kMin) == kMin);
  CHECK_FALSE(fit<std::int64_t>(Int128(kMax) + 1));
  CHECK_FALSE(fit<std::int64_t>(Int128(kMin) - 1));
  CHECK_FALSE(fit<std::uint64_t>(-1));
  CHECK(fit<std::uint64_t>(Int128(kMax) * 2 + 1) == std::numeric_limits<std::uint64_t>::max());
  CHECK_FALSE(fit<std::uint64_t>(Int128(kMax) * 2 + 2));
}

// 12.0 kg to 11.4 kg is -5.000 %: computed by an independent script.
TEST_CASE("a ratio is in parts per million, and has a sign", "[analytics]") {
  CHECK(ratio_ppm(11'400'000 - 12'000'000, 12'000'000) == -50'000);
  CHECK(ratio_ppm(480'000, 12'000'000) == 40'000);
  CHECK(ratio_ppm(1, 3) == 333'333);
  CHECK(ratio_ppm(2, 3) == 666'667);
  CHECK(ratio_ppm(0, 3) == 0);
}

TEST_CASE("a ratio of nothing, or one too large to say, is none", "[analytics]") {
  CHECK_FALSE(ratio_ppm(5, 0));
  CHECK_FALSE(ratio_ppm(0, 0));
  CHECK_FALSE(ratio_ppm(5, -5));
  CHECK(ratio_ppm(2147, 1) == 2'147'000'000);
  CHECK_FALSE(ratio_ppm(2148, 1));
  CHECK_FALSE(ratio_ppm(-2148, 1));
  CHECK_FALSE(ratio_ppm(kMax, 1));
}
