// base/real.h: from a formula's real number to a whole one.
#include "base/real.h"

#include <catch2/catch.hpp>

using namespace wrackline;

TEST_CASE("a real number becomes the nearest whole one, halves away from zero", "[base]") {
  CHECK(whole<std::int32_t>(2.4) == 2);
  CHECK(whole<std::int32_t>(2.5) == 3);
  CHECK(whole<std::int32_t>(-2.5) == -3);
  CHECK(whole<std::uint32_t>(-0.4) == 0u);
}

TEST_CASE("a real number that cannot be said whole is none", "[base]") {
  CHECK_FALSE(whole<std::int64_t>(std::nan("")));
  CHECK_FALSE(whole<std::int64_t>(HUGE_VAL));
  CHECK_FALSE(whole<std::int64_t>(-HUGE_VAL));
  CHECK_FALSE(whole<std::int64_t>(9.3e18));
  CHECK_FALSE(whole<std::int32_t>(2'147'483'647.5));
  CHECK(whole<std::int32_t>(2'147'483'647.4) == 2'147'483'647);
  CHECK_FALSE(whole<std::uint32_t>(-0.5));
}
