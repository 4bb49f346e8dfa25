#include "analytics/allometry.h"

#include <cmath>
#include <string>

namespace wrackline {
namespace {

constexpr std::string_view kCubanHawksbills = "hawksbill turtle, Cuban waters";
constexpr std::string_view kSource = "Gulf and Caribbean Research 16(1):37-41, abstract";

AllometryRow power(std::string_view id, std::string_view from, std::string_view to, double a, double b,
                   std::uint32_t bodies, double r2) {
  return {id, kCubanHawksbills, from, to,           AllometryForm::kPower, a,
          b,  bodies,           r2,   std::nullopt, std::nullopt,          kSource};
}

}  // namespace

const std::vector<AllometryRow>& allometry_rows() {
  constexpr std::string_view kLength = "straight carapace length, cm";
  constexpr std::string_view kWidth = "straight carapace width, cm";
  constexpr std::string_view kCostal = "first costal width, cm";
  constexpr std::string_view kMass = "mass, kg";
  static const std::vector<AllometryRow> rows = {
      power("hawksbill-cuba-length-width", kLength, kWidth, 0.9136, 0.951, 315, 0.923),
      power("hawksbill-cuba-length-mass", kLength, kMass, 4.17e-4, 2.68, 289, 0.798),
      power("hawksbill-cuba-costal-length", kCostal, kLength, 4.353, 0.848, 340, 0.953),
      power("hawksbill-cuba-costal-width", kCostal, kWidth, 3.223, 0.847, 156, 0.919),
      power("hawksbill-cuba-costal-mass", kCostal, kMass, 1.416e-2, 2.426, 133, 0.740),
  };
  return rows;
}

Result<double> estimate(const AllometryRow& row, double x) {
  if (!(x > 0) || x < row.x_min.value_or(x) || x > row.x_max.value_or(x)) {
    return fail(ErrorCode::kInvalid, "nothing was estimated by " + std::string(row.id) +
                                         ": the measure is outside what that regression was made from");
  }
  return row.form == AllometryForm::kPower ? row.a * std::pow(x, row.b) : row.a + row.b * x;
}

}  // namespace wrackline
