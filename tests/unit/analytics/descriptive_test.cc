// analytics/descriptive.h, outliers.h, diversity.h and scaled.h: what they say of few, equal or no figures.
#include "analytics/descriptive.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "analytics/diversity.h"
#include "analytics/outliers.h"
#include "analytics/scaled.h"
#include "support/random.h"

using namespace wrackline;

TEST_CASE("nothing is said when there are no figures", "[analytics]") {
  CHECK_FALSE(mean({}));
  CHECK_FALSE(standard_deviation({}));
  CHECK_FALSE(quantile({}, 0.5));
  CHECK_FALSE(median({}));
  CHECK_FALSE(median_absolute_deviation({}));
  CHECK_FALSE(lag1_autocorrelation({}));
  CHECK_FALSE(hampel({}));
  CHECK_FALSE(hampel({std::nullopt, std::nullopt}));
}

TEST_CASE("one figure has a mean and a median but no spread", "[analytics]") {
  CHECK(*mean({7}) == 7);
  CHECK(*median({7}) == 7);
  CHECK(*quantile({7}, 0) == 7);
  CHECK(*quantile({7}, 1) == 7);
  CHECK_FALSE(standard_deviation({7}));
  CHECK_FALSE(lag1_autocorrelation({7}));
}

TEST_CASE("equal figures have spread 0 and no autocorrelation", "[analytics]") {
  CHECK(*standard_deviation({3, 3, 3}) == 0);
  CHECK(*median_absolute_deviation({3, 3, 3}) == 0);
  CHECK_FALSE(lag1_autocorrelation({3, 3, 3}));
}

TEST_CASE("a quantile lies between order statistics, whatever order they come in", "[analytics]") {
  CHECK(*quantile({40, 10, 30, 20}, 0.25) == 17.5);
  CHECK(*quantile({40, 10, 30, 20}, 0.5) == 25);
  CHECK(*quantile({40, 10, 30, 20}, 0) == 10);
  CHECK(*quantile({40, 10, 30, 20}, 1) == 40);
  CHECK_FALSE(quantile({1, 2}, -0.01));
  CHECK_FALSE(quantile({1, 2}, 1.01));
  CHECK_FALSE(quantile({1, 2}, std::numeric_limits<double>::quiet_NaN()));
}

TEST_CASE("the spread of figures does not depend on how far from 0 they lie", "[analytics]") {
  Random random = test_random("spread and offset");
  for (int round = 0; round < 50; ++round) {
    std::vector<double> near;
    std::vector<double> far;
    const std::size_t count = 2 + random.below(40);
    for (std::size_t i = 0; i < count; ++i) {
      near.push_back(static_cast<double>(random.below(1000)));
      far.push_back(near.back() + 1e12);  // Both exact in a double.
    }
    CHECK(*standard_deviation(far) == Approx(*standard_deviation(near)).epsilon(1e-12));
    CHECK(*mean(far) - 1e12 == Approx(*mean(near)).margin(1e-3));
  }
}

TEST_CASE("the mean of a million equal figures is that figure, not what summing them leaves", "[analytics]") {
  CHECK(*mean(std::vector<double>(1'000'000, 0.1)) == Approx(0.1).epsilon(1e-15));
}

TEST_CASE("autocorrelation tells a steady climb from a see-saw", "[analytics]") {
  CHECK(*lag1_autocorrelation({1, 2, 3, 4, 5, 6, 7, 8}) > 0.5);
  CHECK(*lag1_autocorrelation({1, 8, 1, 8, 1, 8, 1, 8}) < -0.5);
}

TEST_CASE("an outlier is named by its place in the series, gaps counted", "[analytics]") {
  const HampelFigures figures = *hampel({10, std::nullopt, 11, 12, std::nullopt, 90, 13, -70});
  CHECK(figures.count == 6);
  CHECK(figures.median == 11.5);
  CHECK(figures.mad == 1.5);
  CHECK(figures.outliers == std::vector<std::size_t>{5, 7});
}

TEST_CASE("a figure at the very distance is no outlier", "[analytics]") {
  const double distance = 3 * kMadToSd;
  const HampelFigures edge = *hampel({-1, -1, 0, 0, 1, 1, -distance, distance});
  CHECK(edge.median == 0);
  CHECK(edge.mad == 1);
  CHECK(edge.outliers.empty());
  CHECK(hampel({-1, -1, 0, 0, 1, 1, -distance, distance + 0.001})->outliers == std::vector<std::size_t>{7});
}

TEST_CASE("when most figures are equal the outlier rule says nothing", "[analytics]") {
  const HampelFigures figures = *hampel({200, 200, 200, 200, 205});
  CHECK(figures.mad == 0);
  CHECK_FALSE(figures.distance_max);
  CHECK(figures.outliers.empty());
}

TEST_CASE("diversity counts only what was used", "[analytics]") {
  CHECK_FALSE(shannon_nats({}));
  CHECK_FALSE(shannon_nats({0, 0}));
  CHECK_FALSE(simpson({0, 0}));
  CHECK(*shannon_nats({9}) == 0);
  CHECK(*simpson({9}) == 0);
  CHECK(*shannon_nats({5, 0, 5}) == *shannon_nats({5, 5}));
  CHECK(*shannon_nats({5, 5}) == Approx(std::log(2.0)));
  CHECK(*simpson({5, 5}) == 0.5);
}

TEST_CASE("even use is the most varied", "[analytics]") {
  Random random = test_random("even use");
  for (int round = 0; round < 50; ++round) {
    std::vector<std::uint64_t> counts;
    const std::size_t count = 2 + random.below(10);
    for (std::size_t i = 0; i < count; ++i) counts.push_back(1 + random.below(100));
    CHECK(*shannon_nats(counts) <= std::log(static_cast<double>(counts.size())) + 1e-12);
    CHECK(*simpson(counts) <= 1 - 1 / static_cast<double>(counts.size()) + 1e-12);
  }
}

TEST_CASE("a shown figure is the nearest whole number of its unit, or none", "[analytics]") {
  CHECK(to_scaled(0.25, 1'000'000) == 250'000);
  CHECK(to_scaled(2.5, 1) == 3);
  CHECK(to_scaled(-2.5, 1) == -3);
  CHECK(to_scaled(-2.4, 1) == -2);
  CHECK(to_scaled(-9223372036854774784.0, 1) == -9223372036854774784);
  CHECK_FALSE(to_scaled(1e19, 1));
  CHECK_FALSE(to_scaled(-1e19, 1));
  CHECK_FALSE(to_scaled(std::numeric_limits<double>::infinity(), 1));
  CHECK_FALSE(to_scaled(std::numeric_limits<double>::quiet_NaN(), 1));
}
