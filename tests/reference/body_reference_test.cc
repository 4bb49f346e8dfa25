// Condition, growth and estimates of bodies against published examples, and the plain statistics against the
// two open sets of weighings that come with R: ChickWeight and nlme's BodyWeight (Crowder & Hand 1990, from
// memory). Their figures were computed by R 4.2.2 and nlme 3.1-162; the other [computed] ones by an
// independent script.
#include <catch2/catch.hpp>
#include <cmath>

#include "analytics/allometry.h"
#include "analytics/body_condition.h"
#include "analytics/descriptive.h"
#include "analytics/growth.h"
#include "analytics/line_fit.h"
#include "analytics/proportion.h"
#include "analytics/ration.h"

using namespace wrackline;

namespace {

// Grams on days 0, 2, ..., 20, 21; five chicks end early.
struct Chick {
  int diet;
  std::vector<double> grams;
};

const std::vector<double> kChickDays = {0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 21};

const std::vector<Chick> kChicks = {
    {1, {42, 51, 59, 64, 76, 93, 106, 125, 149, 171, 199, 205}},
    {1, {40, 49, 58, 72, 84, 103, 122, 138, 162, 187, 209, 215}},
    {1, {43, 39, 55, 67, 84, 99, 115, 138, 163, 187, 198, 202}},
    {1, {42, 49, 56, 67, 74, 87, 102, 108, 136, 154, 160, 157}},
    {1, {41, 42, 48, 60, 79, 106, 141, 164, 197, 199, 220, 223}},
    {1, {41, 49, 59, 74, 97, 124, 141, 148, 155, 160, 160, 157}},
    {1, {41, 49, 57, 71, 89, 112, 146, 174, 218, 250, 288, 305}},
    {1, {42, 50, 61, 71, 84, 93, 110, 116, 126, 134, 125}},
    {1, {42, 51, 59, 68, 85, 96, 90, 92, 93, 100, 100, 98}},
    {1, {41, 44, 52, 63, 74, 81, 89, 96, 101, 112, 120, 124}},
    {1, {43, 51, 63, 84, 112, 139, 168, 177, 182, 184, 181, 175}},
    {1, {41, 49, 56, 62, 72, 88, 119, 135, 162, 185, 195, 205}},
    {1, {41, 48, 53, 60, 65, 67, 71, 70, 71, 81, 91, 96}},
    {1, {41, 49, 62, 79, 101, 128, 164, 192, 227, 248, 259, 266}},
    {1, {41, 49, 56, 64, 68, 68, 67, 68}},
    {1, {41, 45, 49, 51, 57, 51, 54}},
    {1, {42, 51, 61, 72, 83, 89, 98, 103, 113, 123, 133, 142}},
    {1, {39, 35}},
    {1, {43, 48, 55, 62, 65, 71, 82, 88, 106, 120, 144, 157}},
    {1, {41, 47, 54, 58, 65, 73, 77, 89, 98, 107, 115, 117}},
    {2, {40, 50, 62, 86, 125, 163, 217, 240, 275, 307, 318, 331}},
    {2, {41, 55, 64, 77, 90, 95, 108, 111, 131, 148, 164, 167}},
    {2, {43, 52, 61, 73, 90, 103, 127, 135, 145, 163, 170, 175}},
    {2, {42, 52, 58, 74, 66, 68, 70, 71, 72, 72, 76, 74}},
    {2, {40, 49, 62, 78, 102, 124, 146, 164, 197, 231, 259, 265}},
    {2, {42, 48, 57, 74, 93, 114, 136, 147, 169, 205, 236, 251}},
    {2, {39, 46, 58, 73, 87, 100, 115, 123, 144, 163, 185, 192}},
    {2, {39, 46, 58, 73, 92, 114, 145, 156, 184, 207, 212, 233}},
    {2, {39, 48, 59, 74, 87, 106, 134, 150, 187, 230, 279, 309}},
    {2, {42, 48, 59, 72, 85, 98, 115, 122, 143, 151, 157, 150}},
    {3, {42, 53, 62, 73, 85, 102, 123, 138, 170, 204, 235, 256}},
    {3, {41, 49, 65, 82, 107, 129, 159, 179, 221, 263, 291, 305}},
    {3, {39, 50, 63, 77, 96, 111, 137, 144, 151, 146, 156, 147}},
    {3, {41, 49, 63, 85, 107, 134, 164, 186, 235, 294, 327, 341}},
    {3, {41, 53, 64, 87, 123, 158, 201, 238, 287, 332, 361, 373}},
    {3, {39, 48, 61, 76, 98, 116, 145, 166, 198, 227, 225, 220}},
    {3, {41, 48, 56, 68, 80, 83, 103, 112, 135, 157, 169, 178}},
    {3, {41, 49, 61, 74, 98, 109, 128, 154, 192, 232, 280, 290}},
    {3, {42, 50, 61, 78, 89, 109, 130, 146, 170, 214, 250, 272}},
    {3, {41, 55, 66, 79, 101, 120, 154, 182, 215, 262, 295, 321}},
    {4, {42, 51, 66, 85, 103, 124, 155, 153, 175, 184, 199, 204}},
    {4, {42, 49, 63, 84, 103, 126, 160, 174, 204, 234, 269, 281}},
    {4, {42, 55, 69, 96, 131, 157, 184, 188, 197, 198, 199, 200}},
    {4, {42, 51, 65, 86, 103, 118, 127, 138, 145, 146}},
    {4, {41, 50, 61, 78, 98, 117, 135, 141, 147, 174, 197, 196}},
    {4, {40, 52, 62, 82, 101, 120, 144, 156, 173, 210, 231, 238}},
    {4, {41, 53, 66, 79, 100, 123, 148, 157, 168, 185, 210, 205}},
    {4, {39, 50, 62, 80, 104, 125, 154, 170, 222, 261, 303, 322}},
    {4, {40, 53, 64, 85, 108, 128, 152, 166, 184, 203, 233, 237}},
    {4, {41, 54, 67, 84, 105, 122, 155, 175, 205, 234, 264, 264}},
};

// Grams of 16 rats over 64 days, 11 weighings each: 8 on diet 1, 4 on each of the others.
const std::vector<std::vector<double>> kRats = {
    {240, 250, 255, 260, 262, 258, 266, 266, 265, 272, 278},
    {225, 230, 230, 232, 240, 240, 243, 244, 238, 247, 245},
    {245, 250, 250, 255, 262, 265, 267, 267, 264, 268, 269},
    {260, 255, 255, 265, 265, 268, 270, 272, 274, 273, 275},
    {255, 260, 255, 270, 270, 273, 274, 273, 276, 278, 280},
    {260, 265, 270, 275, 275, 277, 278, 278, 284, 279, 281},
    {275, 275, 260, 270, 273, 274, 276, 271, 282, 281, 284},
    {245, 255, 260, 268, 270, 265, 265, 267, 273, 274, 278},
    {410, 415, 425, 428, 438, 443, 442, 446, 456, 468, 478},
    {405, 420, 430, 440, 448, 460, 458, 464, 475, 484, 496},
    {445, 445, 450, 452, 455, 455, 451, 450, 462, 466, 472},
    {555, 560, 565, 580, 590, 597, 595, 595, 612, 618, 628},
    {470, 465, 475, 485, 487, 493, 493, 504, 507, 518, 525},
    {535, 525, 530, 533, 535, 540, 525, 530, 543, 544, 559},
    {520, 525, 530, 540, 543, 546, 538, 544, 553, 555, 548},
    {510, 510, 520, 515, 530, 538, 535, 542, 550, 553, 569},
};

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
