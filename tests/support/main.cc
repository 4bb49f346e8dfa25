// The main of every Catch2 program that wants a seed: prints it, so that a failure can be replayed.
#define CATCH_CONFIG_RUNNER
#include <catch2/catch.hpp>
#include <cstdio>

#include "support/random.h"

int main(int argc, char** argv) {
  std::printf("seed %llu; replay with WRACKLINE_SEED=%llu\n",
              static_cast<unsigned long long>(wrackline::test_seed()),
              static_cast<unsigned long long>(wrackline::test_seed()));
  std::fflush(stdout);  // A crash must not swallow it.
  return Catch::Session().run(argc, argv);
}
