// wrackline_simulation: the schedules as a test; with --planted, known mistakes to be found by them (planting.h).
#include <google/protobuf/stubs/logging.h>

#include <cstring>

#include "simulation/planting.h"
#include "support/session.h"

int main(int argc, char** argv) {
  // Protobuf complains of each text that a device which lies (liar.h) has made of no letters.
  google::protobuf::SetLogHandler(nullptr);
  if (argc == 1 || std::strcmp(argv[1], "--planted") != 0) return wrackline::run_tests(argc, argv);
  wrackline::print_seed();
  return wrackline::run_planted(argc > 2 ? argv[2] : "");
}
