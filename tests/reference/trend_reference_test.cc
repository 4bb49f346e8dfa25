// Outliers, trends, proportions, agreement, diversity and the line of least squares against published
// examples and reference libraries: R 4.2.2 (with psych 2.2.9, vegan 2.6-4), scipy 1.10.1, statsmodels
// 0.13.5. Each case names its own.
#include <catch2/catch.hpp>
#include <cmath>

#include "analytics/agreement.h"
#include "analytics/descriptive.h"
#include "analytics/diversity.h"
#include "analytics/line_fit.h"
#include "analytics/outliers.h"
#include "analytics/proportion.h"
#include "analytics/trend.h"
#include "support/open_data.h"

using namespace wrackline;

namespace {

// Hunter L* and a panel's score of nine lots of canned tuna: Hollander & Wolfe 1973, p. 187 f. (place from
// memory).
const std::vector<Point> kTuna = {{44.4, 2.6}, {45.9, 3.1}, {41.9, 2.5}, {53.3, 5.0}, {44.7, 3.6},
                                  {44.1, 4.0}, {50.7, 5.2}, {45.2, 2.8}, {60.1, 3.8}};

// Seeded clouds over five years: Hollander & Wolfe 1973 (from memory).
const std::vector<Point> kClouds = {{1, 1.26}, {2, 1.27}, {3, 1.12}, {4, 1.16}, {5, 1.03}};

void check_same_line(const std::vector<Point>& points) {
  const LineFit fit = *fit_line(points);
  CHECK(fit.slope == Approx(0.5).margin(0.0005));
  CHECK(fit.intercept == Approx(3.0).margin(0.003));
  CHECK(*fit.r2 == Approx(0.67).margin(0.005));
}

}  // namespace

TEST_CASE("copper in wholemeal flour: median 3.385, MAD 0.355, outliers 5.28 and 28.95", "[reference]") {
  // R MASS `chem`; Analytical Methods Committee 1989, Analyst 114:1693 (from memory). R and statsmodels
  // agree.
  const Series copper = {2.9,  3.1,  3.4,  3.4,  3.7,   3.7,  2.8, 2.5, 2.4, 2.4, 2.7, 2.2,
                         5.28, 3.37, 3.03, 3.03, 28.95, 3.77, 3.4, 2.2, 3.5, 3.6, 3.7, 3.7};
  CHECK(*mean(known_values(copper)) == Approx(4.28041667).margin(5e-9));
  const HampelFigures figures = *hampel(copper);
  CHECK(figures.count == 24);
  CHECK(figures.median == Approx(3.385).margin(1e-12));
  CHECK(figures.mad == Approx(0.355).margin(1e-12));
  CHECK(kMadToSd * figures.mad == Approx(0.526323).margin(1e-9));
  CHECK(figures.outliers == std::vector<std::size_t>{12, 16});
}

TEST_CASE("nickel in syenite: median 11, scaled MAD 4.4478", "[reference]") {
  // R MASS `abbey`, its figures from memory; R 4.2.2.
  const std::vector<double> nickel = {5.2, 6.5, 6.9, 7,    7,  7,  7.4, 8,  8,  8,  8,  8.5, 9,  9,  10, 11,
                                      11,  12,  12,  13.7, 14, 14, 14,  16, 17, 17, 18, 24,  28, 34, 125};
  CHECK(nickel.size() == 31);
  CHECK(*median(nickel) == 11);
  CHECK(kMadToSd * *median_absolute_deviation(nickel) == Approx(4.4478).margin(1e-9));
}

TEST_CASE("canned tuna: tau 0.4444444, exact p 0.1194389", "[reference]") {
  const KendallFigures figures = *kendall(kTuna);
  CHECK(figures.s == 16);  // T = 26 of 36 pairs are concordant: 26 - 10.
  CHECK(figures.tau_b == Approx(0.4444444).margin(5e-8));
  REQUIRE(figures.p_exact);
  CHECK(*figures.p_exact == Approx(0.1194389).margin(5e-8));
}

TEST_CASE("cloud seeding: S -6, slope -0.05625, intercept 1.32875, exact p 0.2333", "[reference]") {
  // R and scipy; the intercept is scipy's rule, median(y) - slope * median(x).
  const KendallFigures figures = *kendall(kClouds);
  CHECK(figures.s == -6);
  CHECK(*figures.p_exact == Approx(0.2333).margin(0.00005));
  const TheilSenLine line = *theil_sen(kClouds);
  CHECK(line.slope == Approx(-0.05625).margin(1e-12));
  CHECK(line.intercept == Approx(1.32875).margin(1e-12));
}

TEST_CASE("one wild figure of seven leaves the Theil-Sen line at slope 1, intercept 0", "[reference]") {
  // Helsel & Hirsch 2002, ch. 10 (from memory).
  const std::vector<Point> points = {{1, 1}, {2, 2}, {3, 3}, {4, 4}, {5, 5}, {6, 16}, {7, 7}};
  CHECK(kendall(points)->s == 19);
  CHECK(theil_sen(points)->slope == 1);
  CHECK(theil_sen(points)->intercept == 0);
  // Least squares follows the figure.
  CHECK(fit_line(points)->slope > 1.5);
}

TEST_CASE("Nile: S -1387, Var 112728.3333 with its ties, Z -4.128067, p 3.6583e-05, slope -2.6 a year",
          "[reference]") {
  const Series nile(kNile.begin(), kNile.end());
  REQUIRE(nile.size() == 100);
  const KendallFigures figures = *mann_kendall(nile);
  CHECK(figures.s == -1387);
  CHECK(figures.variance == Approx(112728.3333).margin(0.00005));
  CHECK(figures.z == Approx(-4.128067).margin(5e-7));
  CHECK_FALSE(figures.p_exact);
  CHECK(figures.p() == Approx(3.6583e-05).epsilon(1e-4));
  CHECK(theil_sen(known_points(nile))->slope == Approx(-2.6).margin(1e-12));
}

TEST_CASE("Wilson's 95 % interval of Newcombe's table", "[reference]") {
  // Newcombe 1998, Stat. Med. 17:857-872, table I (from memory); R prop.test(correct = FALSE) and
  // statsmodels.
  struct Row {
    std::uint64_t successes, trials;
    double lower_printed, upper_printed, lower, upper;
  };
  for (const Row& row :
       {Row{81, 263, 0.2553, 0.3662, 0.255288520, 0.366209577},
        Row{15, 148, 0.0624, 0.1605, 0.062386400, 0.160487242}, Row{0, 20, 0.0000, 0.1611, 0, 0.161125158}}) {
    CAPTURE(row.successes, row.trials);
    const ShareInterval interval = *wilson_interval(row.successes, row.trials);
    CHECK(interval.lower == Approx(row.lower_printed).margin(0.00005));
    CHECK(interval.upper == Approx(row.upper_printed).margin(0.00005));
    CHECK(interval.lower == Approx(row.lower).margin(5e-10));
    CHECK(interval.upper == Approx(row.upper).margin(5e-10));
  }
}

TEST_CASE("Cohen's table of 1968: kappa 0.4915254237, weighted 0.347826087", "[reference]") {
  // Cohen 1968; psych's manual gives .492 and .348 (from memory), psych 2.2.9 the digits.
  const AgreementTable table = {{0.44, 0.07, 0.09}, {0.05, 0.20, 0.05}, {0.01, 0.03, 0.06}};
  CHECK(*cohen_kappa(table) == Approx(0.4915254237).margin(5e-11));
  CHECK(*weighted_kappa(table, {{0, 1, 3}, {1, 0, 6}, {3, 6, 0}}) == Approx(0.347826087).margin(5e-10));
}

TEST_CASE("two readers of fifty, 20 and 15 alike, 5 and 10 not: kappa 0.4", "[reference]") {
  // A textbook's example, from memory; computed by psych 2.2.9.
  CHECK(*cohen_kappa({{20, 5}, {10, 15}}) == Approx(0.4).margin(1e-12));
}

TEST_CASE("Shannon in nats and Simpson as vegan computes them", "[reference]") {
  CHECK(*shannon_nats({4, 3, 2, 1}) == Approx(1.279854226).margin(5e-10));
  CHECK(*shannon_nats({10, 10, 10, 10}) == Approx(1.386294361).margin(5e-10));
  CHECK(*simpson({4, 3, 2, 1}) == Approx(0.7).margin(1e-12));
  // vegan's dune meadow data, sites 1 to 5; the cover of sites 2 to 5 from memory.
  CHECK(*shannon_nats({1, 4, 7, 4, 2}) == Approx(1.440482).margin(5e-7));
  CHECK(*shannon_nats({3, 2, 3, 4, 4, 5, 4, 7, 5, 5}) == Approx(2.252516).margin(5e-7));
  CHECK(*shannon_nats({4, 7, 2, 4, 6, 5, 6, 2, 2, 2}) == Approx(2.193749).margin(5e-7));
  CHECK(*shannon_nats({8, 2, 2, 3, 2, 4, 5, 4, 5, 5, 2, 1, 2}) == Approx(2.426779).margin(5e-7));
  CHECK(*shannon_nats({2, 4, 2, 2, 4, 2, 5, 2, 6, 5, 3, 2, 2, 2}) == Approx(2.544421).margin(5e-7));
}

TEST_CASE("Anscombe's first set: slope 0.500090909, intercept 3.000090909", "[reference]") {
  // Anscombe 1973, Am. Stat. 27:17-21, all four sets from memory (R's `anscombe`); digits of the first by R
  // 4.2.2.
  const std::vector<Point> first = {{10, 8.04}, {8, 6.95}, {13, 7.58},  {9, 8.81}, {11, 8.33}, {14, 9.96},
                                    {6, 7.24},  {4, 4.26}, {12, 10.84}, {7, 4.82}, {5, 5.68}};
  const LineFit fit = *fit_line(first);
  CHECK(fit.slope == Approx(0.500090909).margin(5e-10));
  CHECK(fit.intercept == Approx(3.000090909).margin(5e-10));
  // The others share the line and look like nothing of the kind.
  check_same_line(first);
  check_same_line({{10, 9.14},
                   {8, 8.14},
                   {13, 8.74},
                   {9, 8.77},
                   {11, 9.26},
                   {14, 8.10},
                   {6, 6.13},
                   {4, 3.10},
                   {12, 9.13},
                   {7, 7.26},
                   {5, 4.74}});
  check_same_line({{10, 7.46},
                   {8, 6.77},
                   {13, 12.74},
                   {9, 7.11},
                   {11, 7.81},
                   {14, 8.84},
                   {6, 6.08},
                   {4, 5.39},
                   {12, 8.15},
                   {7, 6.42},
                   {5, 5.73}});
  check_same_line({{8, 6.58},
                   {8, 5.76},
                   {8, 7.71},
                   {8, 8.84},
                   {8, 8.47},
                   {8, 7.04},
                   {8, 5.25},
                   {19, 12.50},
                   {8, 5.56},
                   {8, 7.91},
                   {8, 6.89}});
}
