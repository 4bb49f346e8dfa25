// Condition, growth and estimates of bodies against published examples, and the plain statistics against the
// two open sets of weighings that come with R (support/open_data.h). Their figures were computed by R 4.2.2 and
// nlme 3.1-162; the other [computed] ones by an independent script.
#include <catch2/catch.hpp>
#include <cmath>

#include "analytics/allometry.h"
#include "analytics/body_condition.h"
#include "analytics/descriptive.h"
#include "analytics/growth.h"
#include "analytics/line_fit.h"
#include "analytics/proportion.h"
#include "analytics/ration.h"
#include "support/open_data.h"

using namespace wrackline;

namespace {

std::vector<double> grams_of_rats(std::size_t first, std::size_t last) {
  std::vector<double> out;
  for (std::size_t rat = first; rat <= last; ++rat)
    out.insert(out.end(), kRats[rat].begin(), kRats[rat].end());
  return out;
}

// Day 21 of the chicks on a diet, or of all: the five that ended early have no figure there.
std::vector<double> day_21(int diet = 0) {
  std::vector<double> out;
  for (const Chick& chick : kChicks) {
    if (chick.grams.size() == kChickDays.size() && (diet == 0 || chick.diet == diet))
      out.push_back(chick.grams[11]);
  }
  return out;
}

BodyLength straight_cm(std::uint64_t cm) { return {LengthKind::kStraight, cm * 10'000}; }

const AllometryRow& row_of(std::string_view id) {
  for (const AllometryRow& row : allometry_rows()) {
    if (row.id == id) return row;
  }
  FAIL("no such row");
  return allometry_rows().front();
}

}  // namespace

TEST_CASE("turtle condition index of three bodies [computed]", "[reference]") {
  // Formula: Bjorndal, Bolten & Chaloupka 2000, Ecol. Appl. 10:269-282 (from memory); Nishizawa & Joseph
  // 2022.
  CHECK(*body_condition_index(3'000'000, straight_cm(28)) == Approx(1.3666).margin(0.00005));
  CHECK(*body_condition_index(25'000'000, straight_cm(59)) == Approx(1.2173).margin(0.00005));
  CHECK(*body_condition_index(100'000'000, straight_cm(90)) == Approx(1.3717).margin(0.00005));
}

TEST_CASE("Fulton's K of three fish [computed]", "[reference]") {
  // Formula: Fulton 1904; Ricker 1975 (from memory).
  CHECK(*fulton_k(250'000, straight_cm(28)) == Approx(1.138848).margin(5e-7));
  CHECK(*fulton_k(100'000, straight_cm(20)) == Approx(1.25).margin(1e-12));
  CHECK(*fulton_k(1'000'000, straight_cm(50)) == Approx(0.8).margin(1e-12));
}

TEST_CASE("change and growth rates of two bodies [computed]", "[reference]") {
  CHECK(*percent_change(12.0, 11.4) == Approx(-5.0).margin(5e-4));
  CHECK(*specific_growth_rate(12.0, 11.4, 14) == Approx(-0.366381).margin(5e-7));
  CHECK(*specific_growth_rate(12.0, 15.0, 30) == Approx(0.743812).margin(5e-7));
  const Growth growth = *growth_between({100, 12'000'000}, {114, 11'400'000});
  CHECK(growth.change_ppm == -50'000);
  CHECK(*growth.sgr_ppb_per_day == Approx(-3'663'810).margin(5));
}

TEST_CASE("hawksbills of Cuba: width, mass and length by the published regressions [computed]",
          "[reference]") {
  // Gulf and Caribbean Research 16(1):37-41, abstract: SCW = 0.9136 SCL^0.951, Wt = 4.17e-4 SCL^2.68, SCL =
  // 4.353 C1W^0.848.
  const AllometryRow& width = row_of("hawksbill-cuba-length-width");
  CHECK(*estimate(width, 30) == Approx(23.20).margin(0.005));
  CHECK(*estimate(width, 50) == Approx(37.71).margin(0.005));
  CHECK(*estimate(width, 80) == Approx(58.97).margin(0.005));
  const AllometryRow& mass = row_of("hawksbill-cuba-length-mass");
  CHECK(*estimate(mass, 30) == Approx(3.792).margin(0.0005));
  CHECK(*estimate(mass, 50) == Approx(14.906).margin(0.0005));
  CHECK(*estimate(mass, 80) == Approx(52.531).margin(0.0005));
  CHECK(*estimate(row_of("hawksbill-cuba-costal-length"), 10) == Approx(30.675).margin(0.0005));
  CHECK(width.bodies == 315u);
  CHECK(mass.bodies == 289u);
  CHECK(row_of("hawksbill-cuba-costal-length").bodies == 340u);
  CHECK(*width.r2 == 0.923);
  CHECK(*mass.r2 == 0.798);
  CHECK(*row_of("hawksbill-cuba-costal-length").r2 == 0.953);
}

TEST_CASE("straight from curved length, the arithmetic of three lines that are not shipped [computed]",
          "[reference]") {
  // Teas 1993, NOAA Tech. Memo. NMFS-SEFSC-315, coefficients from memory and not found again: so they are
  // here, not in allometry_rows().
  AllometryRow row;
  row.form = AllometryForm::kLinear;
  row.a = -1.442, row.b = 0.948;  // Loggerhead.
  CHECK(*estimate(row, 92.6) == Approx(86.3428).margin(1e-9));
  row.a = 0.013, row.b = 0.945;  // Kemp's ridley.
  CHECK(*estimate(row, 30) == Approx(28.363).margin(1e-9));
  row.a = 0.294, row.b = 0.937;  // Green.
  CHECK(*estimate(row, 50) == Approx(47.144).margin(1e-9));
  for (const AllometryRow& shipped : allometry_rows()) CHECK(shipped.form == AllometryForm::kPower);
}

TEST_CASE("ChickWeight, all 578 weighings", "[reference]") {
  std::vector<double> grams;
  for (const Chick& chick : kChicks) grams.insert(grams.end(), chick.grams.begin(), chick.grams.end());
  REQUIRE(kChicks.size() == 50);
  REQUIRE(grams.size() == 578);
  CHECK(*mean(grams) == Approx(121.8183391).margin(5e-8));
  CHECK(*standard_deviation(grams) == Approx(71.0719596).margin(5e-8));
  CHECK(*median(grams) == 103);
  CHECK(kMadToSd * *median_absolute_deviation(grams) == Approx(69.6822).margin(5e-9));
}

TEST_CASE("ChickWeight on day 21: the five that ended early are missing, not zero", "[reference]") {
  const std::vector<double> grams = day_21();
  REQUIRE(grams.size() == 45);
  CHECK(*mean(grams) == Approx(218.6889).margin(5e-5));
  CHECK(*standard_deviation(grams) == Approx(71.51027).margin(5e-6));
  CHECK(*quantile(grams, 0.25) == 167);
  CHECK(*median(grams) == 205);
  CHECK(*quantile(grams, 0.75) == 266);
  // The whole-numbered quartiles are the same ones.
  WholeSeries whole;
  for (double value : grams) whole.push_back(static_cast<std::int64_t>(value));
  const SuggestedRation quartiles = *suggest_ration(0, whole, 1);
  CHECK(quartiles.lower_quartile_mg == 167);
  CHECK(quartiles.ration_mg == 205);
  CHECK(quartiles.upper_quartile_mg == 266);
}

TEST_CASE("ChickWeight on day 21 by diet", "[reference]") {
  struct Row {
    int diet;
    std::size_t count;
    double mean, sd;
  };
  for (const Row& row : {Row{1, 16, 177.75, 58.7020726}, Row{2, 10, 214.7, 78.1381256},
                         Row{3, 10, 270.3, 71.6225446}, Row{4, 9, 238.5555556, 43.3477540}}) {
    CAPTURE(row.diet);
    const std::vector<double> grams = day_21(row.diet);
    CHECK(grams.size() == row.count);
    CHECK(*mean(grams) == Approx(row.mean).margin(5e-8));
    CHECK(*standard_deviation(grams) == Approx(row.sd).margin(5e-8));
  }
}

TEST_CASE("ChickWeight's specific growth rates over 21 days", "[reference]") {
  std::vector<double> rates;
  for (const Chick& chick : kChicks) {
    if (chick.grams.size() == kChickDays.size())
      rates.push_back(*specific_growth_rate(chick.grams.front(), chick.grams.back(), 21));
  }
  CHECK(rates.size() == 45);
  CHECK(*mean(rates) == Approx(7.684175).margin(5e-7));
  CHECK(rates[0] == Approx(7.54923981).margin(5e-9));
}

TEST_CASE("chick 1 grows along 24.465436394 + 7.987898956 g a day", "[reference]") {
  std::vector<Point> points;
  for (std::size_t i = 0; i < kChickDays.size(); ++i) points.push_back({kChickDays[i], kChicks[0].grams[i]});
  CHECK(fit_line(points)->slope == Approx(7.987898956).margin(5e-10));
  CHECK(fit_line(points)->intercept == Approx(24.465436394).margin(5e-10));
}

TEST_CASE("BodyWeight, all 176 weighings and by diet", "[reference]") {
  const std::vector<double> grams = grams_of_rats(0, 15);
  REQUIRE(grams.size() == 176);
  CHECK(*mean(grams) == Approx(384.482954545).margin(5e-10));
  CHECK(*standard_deviation(grams) == Approx(127.160459912).margin(5e-10));
  CHECK(*mean(grams_of_rats(0, 7)) == Approx(263.715909).margin(5e-7));
  CHECK(*mean(grams_of_rats(8, 11)) == Approx(484.704545).margin(5e-7));
  CHECK(*mean(grams_of_rats(12, 15)) == Approx(525.795455).margin(5e-7));
}

TEST_CASE("a share of scans leaves out those that did not see the animal", "[reference]") {
  // Altmann 1974, Behaviour 49:227-267 (from memory): 12 of 40 scans, 4 not seen, is 12 of 36.
  const ShareInterval interval = *wilson_interval(12, 40 - 4);
  CHECK(interval.share == Approx(0.333).margin(0.0005));
  CHECK(wilson_interval(12, 40)->share == Approx(0.3));
}
