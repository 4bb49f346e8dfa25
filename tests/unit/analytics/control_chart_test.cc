// analytics/control_chart.h: what a gap does, where the limits lie, and which settings are refused.
#include "analytics/control_chart.h"

#include <catch2/catch.hpp>
#include <limits>

#include "support/random.h"

using namespace wrackline;

namespace {

constexpr std::nullopt_t kGap = std::nullopt;

EwmaSettings ewma_settings() {
  EwmaSettings settings;
  settings.target = 100;
  settings.sigma = 10;
  settings.lambda = 0.25;
  return settings;
}

Series without_gaps(const Series& series) {
  Series out;
  for (const auto& value : series) {
    if (value) out.push_back(value);
  }
  return out;
}

}  // namespace

TEST_CASE("a gap has no EWMA point and moves nothing", "[analytics]") {
  const auto chart = ewma_chart({110, kGap, kGap, 90}, ewma_settings());
  REQUIRE(chart);
  REQUIRE(chart->size() == 4);
  CHECK((*chart)[0]->z == 102.5);
  CHECK_FALSE((*chart)[1]);
  CHECK_FALSE((*chart)[2]);
  CHECK((*chart)[3]->z == 99.375);  // From 102.5; neither from 0 nor back to the target.
}

TEST_CASE("charts over a series with gaps say of each figure what they say without the gaps", "[analytics]") {
  Random random = test_random("charts and gaps");
  for (int round = 0; round < 50; ++round) {
    Series series;
    for (int i = 0; i < 30; ++i) {
      series.push_back(random.once_in(3) ? std::optional<double>()
                                         : std::optional<double>(static_cast<double>(random.below(200))));
    }
    const auto ewma = ewma_chart(series, ewma_settings());
    const auto ewma_known = ewma_chart(without_gaps(series), ewma_settings());
    const auto cusum = cusum_chart(series, {100, 5, 40});
    const auto cusum_known = cusum_chart(without_gaps(series), {100, 5, 40});
    REQUIRE((ewma && ewma_known && cusum && cusum_known));
    std::size_t known = 0;
    for (std::size_t i = 0; i < series.size(); ++i) {
      REQUIRE((*ewma)[i].has_value() == series[i].has_value());
      REQUIRE((*cusum)[i].has_value() == series[i].has_value());
      if (!series[i]) continue;
      CHECK((*ewma)[i]->z == (*ewma_known)[known]->z);
      CHECK((*ewma)[i]->limits.upper == (*ewma_known)[known]->limits.upper);
      CHECK((*cusum)[i]->upper == (*cusum_known)[known]->upper);
      CHECK((*cusum)[i]->lower == (*cusum_known)[known]->lower);
      ++known;
    }
  }
}

TEST_CASE("EWMA limits widen from the first figure to the steady ones and lie evenly about the target",
          "[analytics]") {
  const auto chart = ewma_chart(Series(60, 100.0), ewma_settings());
  REQUIRE(chart);
  const ControlLimits steady = ewma_steady_limits(ewma_settings());
  // The limit for one figure: lambda * sigma.
  CHECK((*chart)[0]->limits.upper == Approx(100 + 3 * 10 * 0.25));
  for (std::size_t i = 0; i < chart->size(); ++i) {
    const ControlLimits& limits = (*chart)[i]->limits;
    CHECK(limits.upper + limits.lower == Approx(200));
    CHECK(limits.upper <= steady.upper);
    if (i > 0) CHECK(limits.upper >= (*chart)[i - 1]->limits.upper);
  }
  CHECK(chart->back()->limits.upper == Approx(steady.upper));
}

TEST_CASE("an EWMA is outside on either side, and not on the limit", "[analytics]") {
  EwmaSettings settings = ewma_settings();
  settings.lambda = 1;  // z is the figure itself, the limits are 70 and 130.
  const auto chart = ewma_chart({130, 70, 130.1, 69.9}, settings);
  REQUIRE(chart);
  CHECK_FALSE((*chart)[0]->outside);
  CHECK_FALSE((*chart)[1]->outside);
  CHECK((*chart)[2]->outside);
  CHECK((*chart)[3]->outside);
}

TEST_CASE("EWMA settings out of range are refused, numbers that are none too", "[analytics]") {
  const double none = std::numeric_limits<double>::quiet_NaN();
  for (double lambda : {0.0, -0.1, 1.1, none}) {
    EwmaSettings settings = ewma_settings();
    settings.lambda = lambda;
    CHECK(ewma_chart({1}, settings).error().code == ErrorCode::kInvalid);
  }
  for (double spread : {0.0, -1.0, none}) {
    EwmaSettings settings = ewma_settings();
    settings.sigma = spread;
    CHECK(ewma_chart({1}, settings).error().code == ErrorCode::kInvalid);
    settings = ewma_settings();
    settings.width = spread;
    CHECK(ewma_chart({1}, settings).error().code == ErrorCode::kInvalid);
  }
}

TEST_CASE("a CUSUM alarms above its decision value, on either side, and stays with what it saw",
          "[analytics]") {
  const auto chart = cusum_chart({120, 130, 100, kGap, 40, 60}, {100, 10, 30});
  REQUIRE(chart);
  CHECK((*chart)[0]->upper == 10);
  CHECK((*chart)[1]->upper == 30);
  CHECK_FALSE((*chart)[1]->alarm);  // At the value is not above it.
  CHECK((*chart)[2]->upper == 20);
  CHECK_FALSE((*chart)[3]);
  CHECK((*chart)[4]->upper == 0);
  CHECK((*chart)[4]->lower == 50);
  CHECK((*chart)[4]->alarm);
  CHECK((*chart)[5]->lower == 80);
}

TEST_CASE("CUSUM settings out of range are refused", "[analytics]") {
  const double none = std::numeric_limits<double>::quiet_NaN();
  CHECK(cusum_chart({1}, {0, -0.1, 1}).error().code == ErrorCode::kInvalid);
  CHECK(cusum_chart({1}, {0, none, 1}).error().code == ErrorCode::kInvalid);
  CHECK(cusum_chart({1}, {0, 0, 0}).error().code == ErrorCode::kInvalid);
  CHECK(cusum_chart({1}, {0, 0, none}).error().code == ErrorCode::kInvalid);
  CHECK(cusum_chart({1}, {0, 0, 1}));
}

TEST_CASE("no moving range reaches across a gap", "[analytics]") {
  const IndividualsChart chart = *individuals_chart({10, 12, kGap, 50, 51});
  CHECK_FALSE(chart.ranges[0]);
  CHECK(chart.ranges[1] == 2);
  CHECK_FALSE(chart.ranges[2]);
  CHECK_FALSE(chart.ranges[3]);
  CHECK(chart.ranges[4] == 1);
  CHECK(chart.ranges_counted == 2);
  CHECK(chart.range_mean == 1.5);
  CHECK(chart.centre == 30.75);  // The mean of all four figures.
  CHECK(chart.outside == std::vector<std::size_t>{0, 1, 3, 4});
}

TEST_CASE("a leap is outside the ranges' limit", "[analytics]") {
  const IndividualsChart chart = *individuals_chart({5, 6, 5, 6, 5, 6, 5, 25, 26, 25});
  CHECK(chart.ranges_outside == std::vector<std::size_t>{7});
}

TEST_CASE("without two neighbours there is no individuals chart", "[analytics]") {
  CHECK_FALSE(individuals_chart({}));
  CHECK_FALSE(individuals_chart({1}));
  CHECK_FALSE(individuals_chart({1, kGap, 2, kGap, 3}));
}
