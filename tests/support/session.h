// This file says what a main of tests does: prints the seed, so that a failure can be replayed, and runs them. Catch2's own code is compiled
// once, in session.cc.
#pragma once

namespace wrackline {

void print_seed();
// Returns what main returns.
int run_tests(int argc, char** argv);

}  // namespace wrackline
