// The attack suite's main: a seed for what is drawn, and the count of what was tried at the end.
#include <cstdio>

#include "attack_world.h"
#include "support/session.h"

int main(int argc, char** argv) {
  const int outcome = wrackline::run_tests(argc, argv);
  const wrackline::AttackTally& tally = wrackline::attack_tally();
  std::printf("attack: %d cases tried, %d refused\n", tally.tried, tally.refused);
  return outcome != 0 || tally.tried != tally.refused ? 1 : 0;
}
