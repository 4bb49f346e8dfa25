// Mean, standard deviation, lag-1 autocorrelation and the straight line against the certified values of the
// NIST Statistical Reference Datasets (public domain), data and values as the test suite of the GNU
// Scientific Library quotes them (statistics/test_nist.c, fit/test.c). Certified to 15 digits; where fewer
// than 11 are asked for, the reason stands beside it.
#include <catch2/catch.hpp>
#include <cmath>

#include "analytics/descriptive.h"
#include "analytics/line_fit.h"

using namespace wrackline;

namespace {

struct Certified {
  double mean;
  double sd;
  double lag1;
};

// Relative distance to a certified value.
double off(double value, double certified) { return std::fabs(value - certified) / std::fabs(certified); }

void check_certified(const std::vector<double>& data, const Certified& certified, double mean_off,
                     double sd_off, double lag1_off) {
  CHECK(off(*mean(data), certified.mean) < mean_off);
  CHECK(off(*standard_deviation(data), certified.sd) < sd_off);
  CHECK(off(*lag1_autocorrelation(data), certified.lag1) < lag1_off);
}

// `first`, then `low` and `high` in turn, five hundred times: 1001 values.
std::vector<double> alternating(double first, double low, double high) {
  std::vector<double> out = {first};
  for (int i = 0; i < 500; ++i) out.insert(out.end(), {low, high});
  return out;
}

// The decimal digits of pi from the 3 on, four at a time (spigot of Rabinowitz & Wagon 1995).
std::vector<double> pi_digits(std::size_t count) {
  std::vector<double> digits;
  const std::size_t groups = count / 4 + 3;
  std::vector<std::int64_t> state(groups * 14, 2000);
  std::int64_t carry = 0;
  for (std::size_t left = state.size() - 1; digits.size() < count + 3; left -= 14) {
    std::int64_t sum = 0;
    for (std::size_t i = left; i > 0; --i) {
      const std::int64_t k = static_cast<std::int64_t>(i);
      sum = sum * k + state[i] * 10000;
      state[i] = sum % (2 * k - 1);
      sum /= 2 * k - 1;
    }
    const std::int64_t group = carry + sum / 10000;
    carry = sum % 10000;
    for (std::int64_t unit : {1000, 100, 10, 1}) digits.push_back(static_cast<double>(group / unit % 10));
  }
  // The first group is 3141.
  digits.resize(count);
  return digits;
}

const std::vector<double> kLew = {
    -213, -564, -35,  -15,  141,  115,  -420, -360, 203,  -338, -431, 194,  -220, -513, 154,  -125, -559,
    92,   -21,  -579, -52,  99,   -543, -175, 162,  -457, -346, 204,  -300, -474, 164,  -107, -572, -8,
    83,   -541, -224, 180,  -420, -374, 201,  -236, -531, 83,   27,   -564, -112, 131,  -507, -254, 199,
    -311, -495, 143,  -46,  -579, -90,  136,  -472, -338, 202,  -287, -477, 169,  -124, -568, 17,   48,
    -568, -135, 162,  -430, -422, 172,  -74,  -577, -13,  92,   -534, -243, 194,  -355, -465, 156,  -81,
    -578, -64,  139,  -449, -384, 193,  -198, -538, 110,  -44,  -577, -6,   66,   -552, -164, 161,  -460,
    -344, 205,  -281, -504, 134,  -28,  -576, -118, 156,  -437, -381, 200,  -220, -540, 83,   11,   -568,
    -160, 172,  -414, -408, 188,  -125, -572, -32,  139,  -492, -321, 205,  -262, -504, 142,  -83,  -574,
    0,    48,   -571, -106, 137,  -501, -266, 190,  -391, -406, 194,  -186, -553, 83,   -13,  -577, -49,
    103,  -515, -280, 201,  300,  -506, 131,  -45,  -578, -80,  138,  -462, -361, 201,  -211, -554, 32,
    74,   -533, -235, 187,  -372, -442, 182,  -147, -566, 25,   68,   -535, -244, 194,  -351, -463, 174,
    -125, -570, 15,   72,   -550, -190, 172,  -424, -385, 198,  -218, -536, 96};

const std::vector<double> kLottery = {
    162, 671, 933, 414, 788, 730, 817, 33,  536, 875, 670, 236, 473, 167, 877, 980, 316, 950, 456, 92,
    517, 557, 956, 954, 104, 178, 794, 278, 147, 773, 437, 435, 502, 610, 582, 780, 689, 562, 964, 791,
    28,  97,  848, 281, 858, 538, 660, 972, 671, 613, 867, 448, 738, 966, 139, 636, 847, 659, 754, 243,
    122, 455, 195, 968, 793, 59,  730, 361, 574, 522, 97,  762, 431, 158, 429, 414, 22,  629, 788, 999,
    187, 215, 810, 782, 47,  34,  108, 986, 25,  644, 829, 630, 315, 567, 919, 331, 207, 412, 242, 607,
    668, 944, 749, 168, 864, 442, 533, 805, 372, 63,  458, 777, 416, 340, 436, 140, 919, 350, 510, 572,
    905, 900, 85,  389, 473, 758, 444, 169, 625, 692, 140, 897, 672, 288, 312, 860, 724, 226, 884, 508,
    976, 741, 476, 417, 831, 15,  318, 432, 241, 114, 799, 955, 833, 358, 935, 146, 630, 830, 440, 642,
    356, 373, 271, 715, 367, 393, 190, 669, 8,   861, 108, 795, 269, 590, 326, 866, 64,  523, 862, 840,
    219, 382, 998, 4,   628, 305, 747, 247, 34,  747, 729, 645, 856, 974, 24,  568, 24,  694, 608, 480,
    410, 729, 947, 293, 53,  930, 223, 203, 677, 227, 62,  455, 387, 318, 562, 242, 428, 968};

const std::vector<double> kMavro = {
    2.00180, 2.00170, 2.00180, 2.00190, 2.00180, 2.00170, 2.00150, 2.00140, 2.00150, 2.00150,
    2.00170, 2.00180, 2.00180, 2.00190, 2.00190, 2.00210, 2.00200, 2.00160, 2.00140, 2.00130,
    2.00130, 2.00150, 2.00150, 2.00160, 2.00150, 2.00140, 2.00130, 2.00140, 2.00150, 2.00140,
    2.00150, 2.00160, 2.00150, 2.00160, 2.00190, 2.00200, 2.00200, 2.00210, 2.00220, 2.00230,
    2.00240, 2.00250, 2.00270, 2.00260, 2.00260, 2.00260, 2.00270, 2.00260, 2.00250, 2.00240};

// R's data set morley has the same figures, as Speed / 1000 + 299.
const std::vector<double> kMichelso = {
    299.85, 299.74, 299.90, 300.07, 299.93, 299.85, 299.95, 299.98, 299.98, 299.88, 300.00, 299.98, 299.93,
    299.65, 299.76, 299.81, 300.00, 300.00, 299.96, 299.96, 299.96, 299.94, 299.96, 299.94, 299.88, 299.80,
    299.85, 299.88, 299.90, 299.84, 299.83, 299.79, 299.81, 299.88, 299.88, 299.83, 299.80, 299.79, 299.76,
    299.80, 299.88, 299.88, 299.88, 299.86, 299.72, 299.72, 299.62, 299.86, 299.97, 299.95, 299.88, 299.91,
    299.85, 299.87, 299.84, 299.84, 299.85, 299.84, 299.84, 299.84, 299.89, 299.81, 299.81, 299.82, 299.80,
    299.77, 299.76, 299.74, 299.75, 299.76, 299.91, 299.92, 299.89, 299.86, 299.88, 299.72, 299.84, 299.85,
    299.85, 299.78, 299.89, 299.84, 299.78, 299.81, 299.76, 299.81, 299.79, 299.81, 299.82, 299.85, 299.87,
    299.87, 299.81, 299.74, 299.81, 299.94, 299.95, 299.80, 299.81, 299.87};

// x, y
const std::vector<Point> kNorris = {
    {0.2, 0.1},     {337.4, 338.8}, {118.2, 118.1}, {884.6, 888.0}, {10.1, 9.2},    {226.5, 228.1},
    {666.3, 668.5}, {996.3, 998.5}, {448.6, 449.1}, {777.0, 778.9}, {558.2, 559.2}, {0.4, 0.3},
    {0.6, 0.1},     {775.5, 778.1}, {666.9, 668.8}, {338.0, 339.3}, {447.5, 448.9}, {11.6, 10.8},
    {556.0, 557.7}, {228.1, 228.3}, {995.8, 998.0}, {887.6, 888.8}, {120.2, 119.6}, {0.3, 0.3},
    {0.3, 0.6},     {556.8, 557.6}, {339.1, 339.3}, {887.2, 888.0}, {999.0, 998.5}, {779.0, 778.9},
    {11.1, 10.2},   {118.3, 117.6}, {229.2, 228.9}, {669.1, 668.4}, {448.9, 449.2}, {0.5, 0.2}};

}  // namespace

TEST_CASE("Lew: -177.435, 277.332168044316, -0.307304800605679", "[reference]") {
  REQUIRE(kLew.size() == 200);
  check_certified(kLew, {-177.435, 277.332168044316, -0.307304800605679}, 1e-14, 1e-13, 1e-13);
}

TEST_CASE("Lottery: 518.958715596330, 291.699727470969, -0.120948622967393", "[reference]") {
  REQUIRE(kLottery.size() == 218);
  check_certified(kLottery, {518.958715596330, 291.699727470969, -0.120948622967393}, 1e-14, 1e-13, 1e-13);
}

TEST_CASE("Mavro: 2.001856, 0.000429123454003053, 0.937989183438248", "[reference]") {
  REQUIRE(kMavro.size() == 50);
  // The spread is 2e-4 of the mean, so a decimal's distance to its double costs four digits.
  check_certified(kMavro, {2.001856, 0.000429123454003053, 0.937989183438248}, 1e-14, 1e-11, 1e-11);
}

TEST_CASE("Michelso: 299.8524, 0.0790105478190518, 0.535199668621283", "[reference]") {
  REQUIRE(kMichelso.size() == 100);
  check_certified(kMichelso, {299.8524, 0.0790105478190518, 0.535199668621283}, 1e-14, 1e-12, 1e-12);
}

TEST_CASE("PiDigits: 4.53480000000000, 2.86733906028871, -0.00355099287237972", "[reference]") {
  std::vector<double> digits = pi_digits(5000);
  REQUIRE(digits.size() == 5000);
  REQUIRE(std::vector<double>(digits.begin(), digits.begin() + 12) ==
          std::vector<double>{3, 1, 4, 1, 5, 9, 2, 6, 5, 3, 5, 8});
  // The data set has a 3 where pi has an 8; the certified values hold for the data set.
  REQUIRE(digits[956] == 8);
  digits[956] = 3;
  check_certified(digits, {4.5348, 2.86733906028871, -0.00355099287237972}, 1e-14, 1e-13, 1e-11);
}

TEST_CASE("NumAcc1: 10000002, 1, -0.5 exactly", "[reference]") {
  const std::vector<double> data = {10000001, 10000003, 10000002};
  CHECK(*mean(data) == 10000002);
  CHECK(*standard_deviation(data) == 1);
  CHECK(*lag1_autocorrelation(data) == -0.5);
}

TEST_CASE("NumAcc2: 1.2, 0.1, -0.999", "[reference]") {
  check_certified(alternating(1.2, 1.1, 1.3), {1.2, 0.1, -0.999}, 1e-14, 1e-13, 1e-13);
}

TEST_CASE("NumAcc3: 1000000.2, 0.1, -0.999", "[reference]") {
  // 0.1 beside a million: a double holds nine digits of the differences.
  check_certified(alternating(1000000.2, 1000000.1, 1000000.3), {1000000.2, 0.1, -0.999}, 1e-14, 1e-8, 1e-8);
}

TEST_CASE("NumAcc4: 10000000.2, 0.1, -0.999, where sums of squares give a variance below zero",
          "[reference]") {
  const std::vector<double> data = alternating(10000000.2, 10000000.1, 10000000.3);
  check_certified(data, {10000000.2, 0.1, -0.999}, 1e-14, 1e-7, 1e-7);
  // numpy 1.24.2: 0.10000000055879, which is exact for the doubles that stand for these decimals.
  CHECK(off(*standard_deviation(data), 0.10000000055879) < 1e-12);
  // The formula this is here to keep out, so that the case is seen to tell the two apart.
  double sum = 0;
  double squares = 0;
  for (double value : data) {
    sum += value;
    squares += value * value;
  }
  const double one_pass = (squares - sum * sum / 1001) / 1000;
  CHECK(std::fabs(one_pass - 0.01) > 0.1);
}

TEST_CASE("Norris: the certified straight line", "[reference]") {
  REQUIRE(kNorris.size() == 36);
  const LineFit fit = *fit_line(kNorris);
  CHECK(fit.count == 36);
  CHECK(off(fit.slope, 1.00211681802045) < 1e-14);
  CHECK(off(fit.intercept, -0.262323073774029) < 1e-11);
  CHECK(off(fit.residual_ss, 26.6173985294224) < 1e-11);
  CHECK(off(*fit.slope_sd, 0.000429796848199937) < 1e-11);
  CHECK(off(*fit.intercept_sd, 0.232818234301152) < 1e-11);
  // R 4.2.2, lm().
  CHECK(off(*fit.residual_sd, 0.884796396144) < 1e-11);
  CHECK(off(*fit.r2, 0.999993745884) < 1e-11);
}
