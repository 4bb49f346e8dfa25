#define CATCH_CONFIG_RUNNER
#include "support/session.h"

#include <catch2/catch.hpp>
#include <cstdio>

#include "support/random.h"

namespace wrackline {

void print_seed() {
  const auto seed = static_cast<unsigned long long>(test_seed());
  std::printf("seed %llu; replay with WRACKLINE_SEED=%llu\n", seed, seed);
  std::fflush(stdout);  // A crash must not swallow it.
}

int run_tests(int argc, char** argv) {
  print_seed();
  return Catch::Session().run(argc, argv);
}

}  // namespace wrackline
