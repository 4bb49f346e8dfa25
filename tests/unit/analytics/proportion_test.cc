// analytics/proportion.h and agreement.h: the ends of their ranges, and what is refused.
#include "analytics/proportion.h"

#include <catch2/catch.hpp>
#include <limits>

#include "analytics/agreement.h"

using namespace wrackline;

TEST_CASE("no share is known when there was no trial", "[analytics]") {
  CHECK_FALSE(wilson_interval(0, 0));
  CHECK_FALSE(wilson_interval(3, 2));
}

TEST_CASE("an interval stays within 0 and 1, holds its share, and narrows with trials", "[analytics]") {
  double width_before = 2;
  for (std::uint64_t trials : {1u, 4u, 16u, 256u, 65536u}) {
    for (std::uint64_t successes : {std::uint64_t{0}, trials / 2, trials}) {
      CAPTURE(successes, trials);
      const ShareInterval interval = *wilson_interval(successes, trials);
      CHECK(interval.lower >= 0);
      CHECK(interval.upper <= 1);
      CHECK(interval.lower <= interval.share);
      CHECK(interval.share <= interval.upper);
      CHECK(interval.upper > interval.lower);
    }
    const ShareInterval none = *wilson_interval(0, trials);
    CHECK(none.lower == 0);
    CHECK(none.upper < width_before);
    width_before = none.upper;
    // All is the mirror of none.
    CHECK(wilson_interval(trials, trials)->upper == 1);
    CHECK(wilson_interval(trials, trials)->lower == Approx(1 - none.upper));
  }
}

TEST_CASE("none of many begins at 0 exactly and all of many ends at 1 exactly", "[analytics]") {
  for (std::uint64_t trials = 1; trials < 1000; ++trials) {
    CHECK(wilson_interval(0, trials)->lower == 0);
    CHECK(wilson_interval(trials, trials)->upper == 1);
  }
}

TEST_CASE("kappa is 1 for full agreement, 0 for chance and below 0 for opposition", "[analytics]") {
  CHECK(*cohen_kappa({{10, 0}, {0, 10}}) == 1);
  CHECK(*cohen_kappa({{9, 3}, {3, 1}}) == Approx(0).margin(1e-12));
  CHECK(*cohen_kappa({{0, 10}, {10, 0}}) == -1);
}

TEST_CASE("kappa is not known when only one category was ever used", "[analytics]") {
  CHECK_FALSE(cohen_kappa({{12, 0}, {0, 0}}));
  CHECK_FALSE(cohen_kappa({{0, 0}, {0, 0}}));
  CHECK_FALSE(cohen_kappa({}));
}

TEST_CASE("a table that is not square, or counts below zero, has no kappa", "[analytics]") {
  CHECK_FALSE(cohen_kappa({{1, 2}, {3}}));
  CHECK_FALSE(cohen_kappa({{1, 2}}));
  CHECK_FALSE(cohen_kappa({{1, -2}, {3, 4}}));
  CHECK_FALSE(cohen_kappa({{1, std::numeric_limits<double>::quiet_NaN()}, {3, 4}}));
}

TEST_CASE("weights must fit the table, and full agreement weighs nothing", "[analytics]") {
  const AgreementTable table = {{5, 2}, {1, 6}};
  CHECK(*weighted_kappa(table, {{0, 1}, {1, 0}}) == *cohen_kappa(table));
  CHECK(*weighted_kappa(table, {{0, 7}, {7, 0}}) == Approx(*cohen_kappa(table)));
  CHECK_FALSE(weighted_kappa(table, {{0, 1, 1}, {1, 0, 1}, {1, 1, 0}}));
  CHECK_FALSE(weighted_kappa(table, {{1, 1}, {1, 0}}));
  CHECK_FALSE(weighted_kappa(table, {{0, -1}, {1, 0}}));
  CHECK_FALSE(weighted_kappa(table, {{0, 0}, {0, 0}}));
}

TEST_CASE("a worse disagreement lowers the weighted kappa more", "[analytics]") {
  const std::vector<std::vector<double>> distance = {{0, 1, 4}, {1, 0, 1}, {4, 1, 0}};
  const double near = *weighted_kappa({{10, 3, 0}, {0, 10, 0}, {0, 0, 10}}, distance);
  const double far = *weighted_kappa({{10, 0, 3}, {0, 10, 0}, {0, 0, 10}}, distance);
  CHECK(near > far);
}
