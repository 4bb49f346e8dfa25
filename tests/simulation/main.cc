// wrackline_simulation: the schedules as a test; with --planted, known mistakes to be found by them (planting.h).
#define CATCH_CONFIG_RUNNER
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstring>

#include "simulation/planting.h"
#include "support/random.h"

int main(int argc, char** argv) {
  const auto seed = static_cast<unsigned long long>(wrackline::test_seed());
  std::printf("seed %llu; replay with WRACKLINE_SEED=%llu\n", seed, seed);
  std::fflush(stdout);
  if (argc > 1 && std::strcmp(argv[1], "--planted") == 0) return wrackline::run_planted(argc > 2 ? argv[2] : "");
  return Catch::Session().run(argc, argv);
}
