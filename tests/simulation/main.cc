// wrackline_simulation: the schedules as a test; with --planted, known mistakes to be found by them (planting.h).
#include <cstring>

#include "simulation/planting.h"
#include "support/session.h"

int main(int argc, char** argv) {
  if (argc == 1 || std::strcmp(argv[1], "--planted") != 0) return wrackline::run_tests(argc, argv);
  wrackline::print_seed();
  return wrackline::run_planted(argc > 2 ? argv[2] : "");
}
