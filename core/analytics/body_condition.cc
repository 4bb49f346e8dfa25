#include "analytics/body_condition.h"

namespace wrackline {
namespace {

constexpr double kUmPerCm = 1e4;
constexpr double kMgPerG = 1e3;
constexpr double kMgPerKg = 1e6;

// Cubic centimetres of a cube as long as the body.
Result<double> cubed(std::uint64_t mass_mg, const BodyLength& length) {
  if (length.kind != LengthKind::kStraight) {
    return fail(
        ErrorCode::kInvalid,
        "no body condition was computed: it needs a straight length and this one is curved; measure the "
        "straight length, since one is not converted into the other");
  }
  if (length.um == 0 || mass_mg == 0) {
    return fail(ErrorCode::kInvalid, "no body condition was computed: it needs a mass and a length above 0");
  }
  const double cm = static_cast<double>(length.um) / kUmPerCm;
  return cm * cm * cm;
}

}  // namespace

Result<double> body_condition_index(std::uint64_t mass_mg, const BodyLength& length) {
  WRACKLINE_TRY_VALUE(cm3, cubed(mass_mg, length));
  return static_cast<double>(mass_mg) / kMgPerKg / cm3 * 1e4;
}

Result<double> fulton_k(std::uint64_t mass_mg, const BodyLength& length) {
  WRACKLINE_TRY_VALUE(cm3, cubed(mass_mg, length));
  return 100 * static_cast<double>(mass_mg) / kMgPerG / cm3;
}

}  // namespace wrackline
