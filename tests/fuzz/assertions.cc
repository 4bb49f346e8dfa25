// Catch2's own code without a main: libFuzzer brings that, and the tests' support speaks in assertions.
#define CATCH_CONFIG_RUNNER
#include <catch2/catch.hpp>
