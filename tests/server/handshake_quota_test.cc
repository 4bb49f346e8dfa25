// Goal: an address opens so many connections at once and so many a second, and no other is asked for them. Method: a clock by hand.
#include "handshake_quota.h"

#include <catch2/catch.hpp>

using namespace wrackline;

namespace {

int taken(HandshakeQuota& quota, const std::string& group, WallMs now, int wanted) {
  int out = 0;
  for (int i = 0; i < wanted; ++i) out += quota.take(group, now) ? 1 : 0;
  return out;
}

}  // namespace

TEST_CASE("an address opens its bucket of connections at once, and then as many as flow in", "[quota]") {
  HandshakeQuota quota({60, 10});
  CHECK(taken(quota, "192.0.2.1", 1'000, 200) == 60);
  CHECK(taken(quota, "192.0.2.1", 1'099, 1) == 0);
  CHECK(taken(quota, "192.0.2.1", 1'100, 5) == 1);
  CHECK(taken(quota, "192.0.2.1", 3'100, 200) == 20);
  CHECK(taken(quota, "192.0.2.1", 100'000, 200) == 60);
  CHECK(taken(quota, "192.0.2.2", 1'000, 200) == 60);
}

TEST_CASE("addresses with a whole quota take no memory; strangers are refused while many are active",
          "[quota]") {
  HandshakeQuota quota({2, 1}, 3);
  for (const char* group : {"a", "b", "c"}) CHECK(quota.take(group, 1'000));
  CHECK_FALSE(quota.take("d", 1'000));
  CHECK(quota.take("a", 1'000));
  CHECK(quota.take("d", 2'500));  // The quotas of b and c are full again.
}

TEST_CASE("without a rate nothing is limited", "[quota]") {
  HandshakeQuota quota({0, 0});
  CHECK(taken(quota, "192.0.2.1", 1'000, 10'000) == 10'000);
}

TEST_CASE("a refused address is told of once in a minute", "[quota]") {
  HandshakeQuota quota({1, 1});
  CHECK(quota.take("a", 0));
  CHECK_FALSE(quota.take("a", 1));
  CHECK(quota.is_to_be_told("a", 1));
  CHECK_FALSE(quota.is_to_be_told("a", 59'000));
  CHECK(quota.is_to_be_told("a", 60'001));
}
