// The attack suite's main: a seed for what is drawn, and the count of what was tried at the end.
#define CATCH_CONFIG_RUNNER
#include <catch2/catch.hpp>
#include <cstdio>

#include "attack_world.h"
#include "support/random.h"

int main(int argc, char** argv) {
  const auto seed = static_cast<unsigned long long>(wrackline::test_seed());
  std::printf("seed %llu; replay with WRACKLINE_SEED=%llu\n", seed, seed);
  std::fflush(stdout);  // A crash must not swallow it.
  const int outcome = Catch::Session().run(argc, argv);
  const wrackline::AttackTally& tally = wrackline::attack_tally();
  std::printf("attack: %d cases tried, %d refused\n", tally.tried, tally.refused);
  return outcome != 0 || tally.tried != tally.refused ? 1 : 0;
}
