// The attack suite's main: a seed for what is drawn; at the end the count of what was tried, and how the hub was meanwhile.
#include <cstdio>

#include "attack_world.h"
#include "support/session.h"

int main(int argc, char** argv) {
  const int outcome = wrackline::run_tests(argc, argv);
  const wrackline::AttackTally& tally = wrackline::attack_tally();
  std::fputs(wrackline::HealthWatch::figures().c_str(), stdout);
  std::printf("attack: %d cases tried, %d refused\n", tally.tried, tally.refused);
  return outcome != 0 || tally.tried != tally.refused ? 1 : 0;
}
