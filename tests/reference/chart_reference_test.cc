// Control charts against the worked examples of the NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2
// (individuals and moving range), 6.3.2.3 (CUSUM) and 6.3.2.4 (EWMA), and against run lengths computed by R's
// package spc 0.6.7.
#include <catch2/catch.hpp>
#include <cmath>

#include "analytics/control_chart.h"
#include "support/random.h"

using namespace wrackline;

namespace {

const Series kEwmaFigures = {52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5,
                             49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};

EwmaSettings ewma_settings() {
  EwmaSettings settings;
  settings.target = 50;
  settings.sigma = 2.0539;
  settings.lambda = 0.3;
  settings.width = 3;
  return settings;
}

// Standard normal, two at a time (Box & Muller 1958).
class Normal {
 public:
  explicit Normal(std::uint64_t seed) : random_(seed) {}

  double next() {
    if (spare_) return std::exchange(spare_, std::nullopt).value();
    constexpr double kTwoPi = 6.283185307179586;
    const double radius = std::sqrt(-2 * std::log(uniform()));
    const double angle = kTwoPi * uniform();
    spare_ = radius * std::sin(angle);
    return radius * std::cos(angle);
  }

 private:
  // Above 0, at most 1.
  double uniform() { return static_cast<double>((random_.next() >> 11) + 1) / 9007199254740992.0; }

  Random random_;
  std::optional<double> spare_;
};

struct RunLength {
  double mean = 0;
  double standard_error = 0;
};

// How many figures a new chart takes on average until `signals(chart, figure)`. The seed is fixed: the figure
// is compared within three standard errors, which one free seed in a few hundred would miss.
template <typename NewChart, typename Signals>
RunLength average_run_length(std::uint64_t seed, double shift, int runs, NewChart new_chart,
                             Signals signals) {
  Normal normal(seed);
  double sum = 0;
  double squares = 0;
  for (int run = 0; run < runs; ++run) {
    auto chart = new_chart();
    double length = 1;
    while (!signals(chart, normal.next() + shift)) ++length;
    sum += length;
    squares += length * length;
  }
  const double mean = sum / runs;
  return {mean, std::sqrt((squares / runs - mean * mean) / (runs - 1))};
}

RunLength cusum_run_length(std::uint64_t seed, double shift, double decision, int runs) {
  return average_run_length(
      seed, shift, runs,
      [&] {
        return Cusum({0, 0.5, decision});
      },
      [](Cusum& chart, double figure) { return chart.add(figure).alarm; });
}

void check_run_length(const RunLength& run_length, double expected) {
  CAPTURE(run_length.mean, run_length.standard_error, expected);
  CHECK(std::fabs(run_length.mean - expected) < 3 * run_length.standard_error);
  // The gate is narrow.
  CHECK(run_length.standard_error < 0.02 * expected);
}

}  // namespace

TEST_CASE("the handbook's EWMA of 20 figures, to its two decimals", "[reference]") {
  const std::vector<double> expected = {50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33,
                                        50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99};
  const auto chart = ewma_chart(kEwmaFigures, ewma_settings());
  REQUIRE(chart);
  REQUIRE(chart->size() == 20);
  const ControlLimits steady = ewma_steady_limits(ewma_settings());
  for (std::size_t i = 0; i < 20; ++i) {
    CAPTURE(i);
    CHECK((*chart)[i]->z == Approx(expected[i]).margin(0.0051));
    // "The process is in control": none is outside.
    CHECK_FALSE((*chart)[i]->outside);
    CHECK((*chart)[i]->z < steady.upper);
    CHECK((*chart)[i]->z > steady.lower);
  }
}

TEST_CASE("the handbook's EWMA limits are 52.5884 and 47.4115", "[reference]") {
  const ControlLimits limits = ewma_steady_limits(ewma_settings());
  CHECK(limits.upper == Approx(52.5884).margin(0.0001));
  CHECK(limits.lower == Approx(47.4115).margin(0.0001));
  // R 4.2.2.
  CHECK(limits.upper == Approx(52.58843).margin(0.000005));
  CHECK(limits.lower == Approx(47.41157).margin(0.000005));
}

TEST_CASE("the exact EWMA limits of the first three figures, by an independent script", "[reference]") {
  const auto chart = ewma_chart(kEwmaFigures, ewma_settings());
  REQUIRE(chart);
  const double half_widths[] = {1.84851, 2.25639, 2.43141};
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK((*chart)[i]->limits.upper == Approx(50 + half_widths[i]).margin(0.00001));
    CHECK((*chart)[i]->limits.lower == Approx(50 - half_widths[i]).margin(0.00001));
  }
}

TEST_CASE("the handbook's CUSUM of 20 figures alarms first at the 14th", "[reference]") {
  const Series figures = {324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125,
                          324.525, 325.225, 324.600, 324.625, 325.150, 328.325, 327.250,
                          327.825, 328.500, 326.675, 327.775, 326.875, 328.350};
  const std::vector<double> upper = {0, 0, 0,    0,    0.03, 0,     0,     0,     0,     0,
                                     0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.00, 19.04};
  const std::vector<double> lower = {0,    0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25,
                                     0.31, 0,    0, 0,    0, 0, 0,    0,    0,    0};
  const auto chart = cusum_chart(figures, {325, 0.3175, 4.1959});
  REQUIRE(chart);
  for (std::size_t i = 0; i < 20; ++i) {
    CAPTURE(i);
    CHECK((*chart)[i]->upper == Approx(upper[i]).margin(0.0051));
    CHECK((*chart)[i]->lower == Approx(lower[i]).margin(0.0051));
    CHECK((*chart)[i]->alarm == (i >= 13));
  }
  CHECK((*chart)[12]->upper == Approx(3.0075).margin(1e-9));
}

TEST_CASE("the handbook's individuals chart of ten figures", "[reference]") {
  const std::optional<IndividualsChart> chart =
      individuals_chart({49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1});
  REQUIRE(chart);
  CHECK(chart->ranges_counted == 9);
  CHECK(chart->centre == Approx(50.81).margin(1e-9));
  CHECK(chart->range_mean == Approx(1.877778).margin(1e-6));
  // The handbook prints these (from memory); R 4.2.2 gives one digit more.
  CHECK(chart->limits.upper == Approx(55.8041).margin(0.0001));
  CHECK(chart->limits.lower == Approx(45.8159).margin(0.0001));
  CHECK(chart->limits.upper == Approx(55.80409).margin(0.000005));
  CHECK(chart->limits.lower == Approx(45.81591).margin(0.000005));
  CHECK(chart->range_upper == Approx(6.1347).margin(0.00005));
  CHECK(chart->outside.empty());
}

TEST_CASE("an EWMA of lambda 0.3 and steady limits of 3 raises a false alarm every 465.55 figures",
          "[reference]") {
  EwmaSettings settings;
  settings.sigma = 1;
  settings.lambda = 0.3;
  const ControlLimits limits = ewma_steady_limits(settings);
  const RunLength run_length = average_run_length(
      41, 0, 10000, [&] { return Ewma(settings); },
      [&](Ewma& chart, double figure) {
        const double z = chart.add(figure).z;
        return z > limits.upper || z < limits.lower;
      });
  check_run_length(run_length, 465.55);
}

TEST_CASE("a CUSUM of slack 0.5, decision 4 runs 167.68 figures, and 8.383 after a shift of one sigma",
          "[reference]") {
  check_run_length(cusum_run_length(42, 0, 4, 10000), 167.68);
  check_run_length(cusum_run_length(43, 1, 4, 20000), 8.383);
}

TEST_CASE("a CUSUM of slack 0.5, decision 5 runs 465.44 figures, 10.376 after a shift of one sigma",
          "[reference]") {
  check_run_length(cusum_run_length(44, 0, 5, 10000), 465.44);
  check_run_length(cusum_run_length(45, 1, 5, 20000), 10.376);
}
