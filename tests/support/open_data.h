// Open data sets that come with R, for tests that lay our figures beside R's.
//
// ChickWeight: R's package datasets. BodyWeight: R's package nlme. Both stand in Crowder & Hand 1990,
// Analysis of Repeated Measures (from memory). Nile: R's package datasets.
#pragma once

#include <vector>

namespace wrackline {

// Grams on the days of kChickDays; five chicks end early.
struct Chick {
  int diet;
  std::vector<double> grams;
};

extern const std::vector<double> kChickDays;
extern const std::vector<Chick> kChicks;

// Grams of 16 rats on the days of kRatDays: 8 on diet 1, 4 on each of the others.
extern const std::vector<double> kRatDays;
extern const std::vector<std::vector<double>> kRats;

// Annual flow of the Nile at Aswan, 1871 to 1970, 10^8 m^3.
extern const std::vector<double> kNile;

}  // namespace wrackline
