// This file says what a handful of figures says by itself: centre, spread, and whether each leans on the one before.
//
// Absent = cannot be said from so few figures. All values are finite. Gaps are left out beforehand
// (series.h).
#pragma once

#include <optional>
#include <vector>

namespace wrackline {

std::optional<double> mean(const std::vector<double>& values);

// The deviation of a sample, so it divides by n - 1. Absent under two values. Computed in two passes with the
// remainder taken off (Chan, Golub & LeVeque 1983): the sum of squares less the square of the sum loses
// everything when the mean is large.
std::optional<double> standard_deviation(const std::vector<double>& values);

// Type 7 of Hyndman & Fan 1996: linear between order statistics, at (n - 1) * fraction. 0 <= fraction <= 1,
// else absent.
std::optional<double> quantile(std::vector<double> values, double fraction);

std::optional<double> median(std::vector<double> values);

// Median absolute deviation from the median, as it is: not scaled.
std::optional<double> median_absolute_deviation(std::vector<double> values);

// This factor makes a MAD comparable with a standard deviation when the values are normal: 1 / 0.6745.
inline constexpr double kMadToSd = 1.4826;

// Sum of products of neighbouring deviations per sum of squared deviations, as NIST certifies it for its StRD
// data. The series must have no gaps: neighbours in the vector are taken as neighbours in time. Absent under
// two values, or when all are equal.
std::optional<double> lag1_autocorrelation(const std::vector<double>& values);

}  // namespace wrackline
