// Goal: stamps follow Kulkarni et al. 2014 and never run backwards. Method: the paper's rules on a trace
// worked by hand, and random walls.
//
// Our clock differs from the paper in one way the trace shows: a received stamp is followed at the next local
// event, not by a stamp of the receipt itself, since a replica writes nothing when it takes changes in.
#include "log/hybrid_clock.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

TEST_CASE("the hybrid clock gives the stamps of a worked trace", "[log]") {
  HybridClock a, b, c;
  REQUIRE(a.tick(10) == Stamp::of(10, 0));
  REQUIRE(b.observe(Stamp::of(10, 0), 1));
  REQUIRE(b.tick(2) == Stamp::of(10, 1));
  REQUIRE(c.observe(Stamp::of(10, 1), 0));
  REQUIRE(c.tick(0) == Stamp::of(10, 2));
  REQUIRE(b.tick(3) == Stamp::of(10, 2));
  REQUIRE(b.tick(13) == Stamp::of(13, 0));
  HybridClock d(Stamp::of(10, 5));
  REQUIRE(d.observe(Stamp::of(10, 3), 9));
  REQUIRE(d.tick(9) == Stamp::of(10, 6));
  REQUIRE(d.observe(Stamp::of(11, 3), 12));
  REQUIRE(d.tick(12) == Stamp::of(12, 0));
}

TEST_CASE("a stamp of 2099 is not followed, and one within ten minutes is", "[log]") {
  constexpr WallMs now = 1'790'000'000'000;
  HybridClock clock(Stamp::of(now, 0));
  REQUIRE_FALSE(clock.observe(Stamp::of(4'070'908'800'000, 0), now));
  REQUIRE(clock.last() == Stamp::of(now, 0));
  REQUIRE(clock.observe(Stamp::of(now + HybridClock::kAheadMaxMs, 0), now));
  REQUIRE_FALSE(HybridClock(Stamp()).observe(Stamp::of(now + HybridClock::kAheadMaxMs + 1, 0), now));
  REQUIRE(clock.tick(now).ms() == now + HybridClock::kAheadMaxMs);
}

TEST_CASE("a full counter carries into the milliseconds", "[log]") {
  HybridClock clock(Stamp::of(1000, 0xffff));
  REQUIRE(clock.tick(1000) == Stamp::of(1001, 0));
}

TEST_CASE("stamps rise on one device whatever its wall clock does", "[log][laws]") {
  Random random = test_random("clock");
  for (int round = 0; round < 200; ++round) {
    HybridClock clock;
    Stamp last;
    for (int i = 0; i < 50; ++i) {
      const WallMs wall = random.below(100'000);
      if (random.once_in(3)) clock.observe(Stamp::of(random.below(200'000), 0), wall);
      const Stamp stamp = clock.tick(wall);
      REQUIRE(last < stamp);
      REQUIRE(stamp.ms() >= wall);
      last = stamp;
    }
  }
}
