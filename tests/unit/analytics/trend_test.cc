// analytics/trend.h, line_fit.h: gaps, ties and exact chances, against counts made the long way.
#include "analytics/trend.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "analytics/line_fit.h"
#include "support/random.h"

using namespace wrackline;

TEST_CASE("a trend needs two places and two different figures", "[analytics]") {
  CHECK_FALSE(mann_kendall({}));
  CHECK_FALSE(mann_kendall({1}));
  CHECK_FALSE(mann_kendall({std::nullopt, 1, std::nullopt}));
  CHECK_FALSE(mann_kendall({4, 4, 4}));
  CHECK_FALSE(kendall({{1, 1}, {1, 2}}));
  CHECK_FALSE(theil_sen({{1, 1}, {1, 2}}));
  CHECK_FALSE(theil_sen({{1, 1}}));
  CHECK_FALSE(fit_line({{1, 1}, {1, 2}}));
  CHECK_FALSE(fit_line({{1, 1}}));
}

TEST_CASE("too many points give no answer rather than a long wait", "[analytics]") {
  std::vector<Point> points;
  for (std::size_t i = 0; i < kTrendPointsMax + 1; ++i) {
    points.push_back({static_cast<double>(i), static_cast<double>(i)});
  }
  CHECK_FALSE(kendall(points));
  CHECK_FALSE(theil_sen(points));
  points.pop_back();
  CHECK(theil_sen(points)->slope == 1);
}

TEST_CASE("a gap keeps the figures after it where they are in time", "[analytics]") {
  const Series series = {10, std::nullopt, std::nullopt, 16, 18};
  CHECK(theil_sen(known_points(series))->slope == 2);
  CHECK(fit_line(known_points(series))->slope == Approx(2));
  CHECK(fit_line(known_points(series))->intercept == Approx(10));
  CHECK(mann_kendall(series)->s == 3);
  CHECK(mann_kendall(series)->count == 3);
}

TEST_CASE("the exact chance is the share of all orders that lie as far out", "[analytics]") {
  std::vector<double> order = {1, 2, 3, 4, 5, 6};
  std::vector<std::int64_t> all_s;
  std::vector<std::optional<double>> all_p;
  do {
    Series series(order.begin(), order.end());
    const KendallFigures figures = *mann_kendall(series);
    all_s.push_back(figures.s);
    all_p.push_back(figures.p_exact);
  } while (std::next_permutation(order.begin(), order.end()));
  REQUIRE(all_s.size() == 720);
  for (std::size_t i = 0; i < all_s.size(); i += 37) {
    const auto as_far = std::count_if(all_s.begin(), all_s.end(),
                                      [&](std::int64_t s) { return std::abs(s) >= std::abs(all_s[i]); });
    REQUIRE(all_p[i]);
    // Two tails of the same size; at S = 1 or less they cover everything.
    CHECK(*all_p[i] == Approx(std::min(1.0, static_cast<double>(as_far) / 720)));
  }
}

TEST_CASE("the variance with ties is that of S over all orders of the figures", "[analytics]") {
  for (std::vector<double> ys :
       {std::vector<double>{1, 1, 2, 3, 3, 3}, {1, 2, 2, 2, 2, 5}, {1, 2, 3, 4, 5, 6}}) {
    for (const std::vector<double>& xs : {std::vector<double>{1, 2, 3, 4, 5, 6}, {1, 1, 2, 2, 2, 3}}) {
      double squares = 0;
      double variance = 0;
      // Every arrangement of the places, so that equal figures are met as often as they should be.
      std::vector<std::size_t> places = {0, 1, 2, 3, 4, 5};
      do {
        std::vector<Point> points;
        for (std::size_t i = 0; i < 6; ++i) points.push_back({xs[i], ys[places[i]]});
        const KendallFigures figures = *kendall(points);
        squares += static_cast<double>(figures.s * figures.s);
        variance = figures.variance;
      } while (std::next_permutation(places.begin(), places.end()));
      CHECK(variance == Approx(squares / 720));
    }
  }
}

TEST_CASE("with ties, or with many figures, p comes from z", "[analytics]") {
  const KendallFigures tied = *mann_kendall({1, 2, 2, 3});
  CHECK_FALSE(tied.p_exact);
  CHECK(tied.p() == tied.p_normal);
  // A tie in x alone is one too.
  CHECK_FALSE(kendall({{1, 1}, {1, 2}, {2, 3}})->p_exact);
  Series fifty;
  for (int i = 0; i < 50; ++i) fifty.push_back((i * 17) % 53);
  REQUIRE(mann_kendall(fifty)->p_exact);
  CHECK(mann_kendall(fifty)->p() == *mann_kendall(fifty)->p_exact);
  // The two agree at this size.
  CHECK(mann_kendall(fifty)->p_normal == Approx(*mann_kendall(fifty)->p_exact).epsilon(0.05));
  fifty.push_back(54);
  CHECK_FALSE(mann_kendall(fifty)->p_exact);
}

TEST_CASE("tau is 1 or -1 for a steady climb or fall, and S 0 is no evidence at all", "[analytics]") {
  CHECK(mann_kendall({1, 2, 3, 4})->tau_b == 1);
  CHECK(mann_kendall({4, 3, 2, 1})->tau_b == -1);
  CHECK(mann_kendall({4, 3, 2, 1})->z < 0);
  const KendallFigures none = *mann_kendall({2, 4, 1, 3});
  CHECK(none.s == 0);
  CHECK(none.z == 0);
  CHECK(none.p() == 1);
  // Tied pairs in x and y alike leave tau-b at 1 where tau would fall short of it.
  CHECK(kendall({{1, 1}, {1, 1}, {2, 2}, {2, 2}})->tau_b == 1);
}

TEST_CASE("turning a series round turns the sign of the trend and of nothing else", "[analytics]") {
  Random random = test_random("trend reversed");
  for (int round = 0; round < 50; ++round) {
    Series series = {1, 2};  // Never all equal.
    const std::size_t count = random.below(20);
    for (std::size_t i = 0; i < count; ++i) series.push_back(static_cast<double>(random.below(15)));
    const Series reversed(series.rbegin(), series.rend());
    CHECK(mann_kendall(series)->s == -mann_kendall(reversed)->s);
    CHECK(mann_kendall(series)->variance == mann_kendall(reversed)->variance);
    CHECK(mann_kendall(series)->p() == mann_kendall(reversed)->p());
    CHECK(theil_sen(known_points(series))->slope ==
          Approx(-theil_sen(known_points(reversed))->slope).margin(1e-12));
  }
}

TEST_CASE("a line through two points fits them and has no spread to speak of", "[analytics]") {
  const LineFit fit = *fit_line({{1, 5}, {3, 9}});
  CHECK(fit.slope == 2);
  CHECK(fit.intercept == 3);
  CHECK(fit.residual_ss == 0);
  CHECK_FALSE(fit.residual_sd);
  CHECK_FALSE(fit.slope_sd);
  CHECK_FALSE(fit.intercept_sd);
  CHECK(*fit.r2 == 1);
}

TEST_CASE("a flat line explains nothing, since there is nothing to explain", "[analytics]") {
  const LineFit fit = *fit_line({{1, 5}, {2, 5}, {3, 5}});
  CHECK(fit.slope == 0);
  CHECK_FALSE(fit.r2);
  CHECK(*fit.slope_sd == 0);
}
