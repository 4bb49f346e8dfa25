// The main of every program of tests that needs none of its own.
#include "support/session.h"

int main(int argc, char** argv) { return wrackline::run_tests(argc, argv); }
