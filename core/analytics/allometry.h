// One body measure estimated from another, by a regression somebody published.
//
// Each regression is a row of data with where it comes from. It holds for the species, the waters and the
// sizes it was measured in; an estimate is shown as one, with its row, and never takes the place of a
// measurement: no dose goes by an estimated mass.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace wrackline {

enum class AllometryForm : std::uint8_t {
  kPower,   // y = a * x^b
  kLinear,  // y = a + b * x
};

struct AllometryRow {
  std::string_view id;    // Stable; stored with an estimate.
  std::string_view of;    // The animals it was measured on.
  std::string_view from;  // x, with its unit.
  std::string_view to;    // y, with its unit.
  AllometryForm form = AllometryForm::kPower;
  double a = 0;
  double b = 0;
  // The number of bodies that the source states; absent = it does not say, or the part that says so was not
  // read.
  std::optional<std::uint32_t> bodies;
  std::optional<double> r2;
  std::optional<double> x_min;
  std::optional<double> x_max;
  std::string_view source;
};

// Rows whose figures were read in their source. All of hawksbills so far; their ranges are not in the
// abstract, so an estimate cannot say that it lies within them.
const std::vector<AllometryRow>& allometry_rows();

// Errors: kInvalid when x is not above 0 or lies outside the row's range: nothing is carried beyond what was
// measured.
Result<double> estimate(const AllometryRow& row, double x);

}  // namespace wrackline
