#include "dosing/dose.h"

#include <string>

namespace wrackline {
namespace {

Unexpected refused(const std::string& why) { return fail(ErrorCode::kInvalid, "computing a dose: " + why); }

Status check_range(std::uint64_t value, std::uint64_t max, const std::string& what) {
  if (value == 0) return refused(what + " is 0; enter it, since missing is never zero");
  if (value > max) return refused(what + " is not plausible; check its unit");
  return {};
}

Status check_amount(const ExactAmount& amount, const std::string& what) {
  if (!is_usable(amount)) return refused(what + " is no amount; compute it again");
  if (amount.numerator == 0) return refused(what + " is 0; there is nothing to measure");
  return {};
}

// amount * factor / divisor, with factor and divisor at most 10^12; refused where it would leave the bounds.
Result<ExactAmount> scaled(const ExactAmount& amount, std::uint64_t factor, std::uint64_t divisor) {
  WRACKLINE_TRY_VALUE(ratio, exact_amount(static_cast<Int128>(factor), static_cast<Int128>(divisor)));
  const bool fits = amount.numerator <= kExactNumeratorMax / ratio.numerator &&
                    amount.divisor <= kExactDivisorMax / ratio.divisor;
  if (!fits) return refused("it is beyond any dose; check the units");
  return exact_amount(amount.numerator * ratio.numerator, amount.divisor * ratio.divisor);
}

// The nearest whole number of steps of `step` / `step_divisor`.
Result<MeasurableAmount> measurable(const ExactAmount& exact, std::uint64_t step,
                                    std::uint64_t step_divisor) {
  const Int128 scaled_numerator = exact.numerator * static_cast<Int128>(step_divisor);
  const Int128 scaled_divisor = exact.divisor * static_cast<Int128>(step);
  const auto steps = fit<std::uint64_t>(divide_rounded(scaled_numerator, scaled_divisor));
  if (!steps) return refused("it is beyond any dose; check the units");
  if (*steps == 0) {
    return refused(
        "it is less than half of the smallest amount that can be measured, and nothing is no dose; "
        "ask the vet for a finer measure, a dilution or another form");
  }
  MeasurableAmount out;
  out.exact = exact;
  out.steps = *steps;
  WRACKLINE_TRY_VALUE(rounded, exact_amount(static_cast<Int128>(*steps) * static_cast<Int128>(step),
                                            static_cast<Int128>(step_divisor)));
  out.rounded = rounded;
  // At most twice the exact amount, so the ratio is at most a million.
  const Int128 difference = static_cast<Int128>(*steps) * scaled_divisor - scaled_numerator;
  out.difference_ppm = ratio_ppm(difference, scaled_numerator).value_or(0);
  return out;
}

}  // namespace

Result<std::uint64_t> mass_mg_of_pounds(std::uint64_t pounds_milli) {
  const auto mass_mg =
      fit<std::uint64_t>(divide_rounded(static_cast<Int128>(pounds_milli) * 45'359'237, 100'000));
  if (!mass_mg) return refused("the body mass is not plausible; check its unit");
  return *mass_mg;
}

Result<ExactAmount> dose_by_body_mass_ug(std::uint64_t dose_per_kg_ug, std::uint64_t body_mass_mg) {
  WRACKLINE_TRY(check_range(dose_per_kg_ug, kDosePerKgUgMax, "the dose for each kilogram"));
  WRACKLINE_TRY(check_range(body_mass_mg, kDoseBodyMassMgMax, "the body mass"));
  return exact_amount(static_cast<Int128>(dose_per_kg_ug) * static_cast<Int128>(body_mass_mg), 1'000'000);
}

Result<ExactAmount> volume_of_dose_ul(const ExactAmount& dose_ug, const Strength& strength) {
  WRACKLINE_TRY(check_amount(dose_ug, "the dose"));
  WRACKLINE_TRY(check_range(strength.mass_ug, kDoseMassUgMax, "the strength's mass"));
  WRACKLINE_TRY(check_range(strength.volume_ul, kDoseVolumeUlMax, "the strength's volume"));
  return scaled(dose_ug, strength.volume_ul, strength.mass_ug);
}

Result<ExactAmount> volume_of_units_ul(const ExactAmount& dose_units, const UnitStrength& strength) {
  WRACKLINE_TRY(check_amount(dose_units, "the dose"));
  WRACKLINE_TRY(check_range(strength.units, kDoseMassUgMax, "the strength's number of units"));
  WRACKLINE_TRY(check_range(strength.volume_ul, kDoseVolumeUlMax, "the strength's volume"));
  return scaled(dose_units, strength.volume_ul, strength.units);
}

Result<ExactAmount> tablets_of_dose(const ExactAmount& dose_ug, std::uint64_t each_ug) {
  WRACKLINE_TRY(check_amount(dose_ug, "the dose"));
  WRACKLINE_TRY(check_range(each_ug, kDoseMassUgMax, "what one tablet holds"));
  return scaled(dose_ug, 1, each_ug);
}

Result<ExactAmount> dose_in_volume_ug(const ExactAmount& volume_ul, const Strength& strength) {
  WRACKLINE_TRY(check_amount(volume_ul, "the volume"));
  WRACKLINE_TRY(check_range(strength.mass_ug, kDoseMassUgMax, "the strength's mass"));
  WRACKLINE_TRY(check_range(strength.volume_ul, kDoseVolumeUlMax, "the strength's volume"));
  return scaled(volume_ul, strength.mass_ug, strength.volume_ul);
}

Result<ExactAmount> dose_in_tablets_ug(const ExactAmount& tablets, std::uint64_t each_ug) {
  WRACKLINE_TRY(check_amount(tablets, "the number of tablets"));
  WRACKLINE_TRY(check_range(each_ug, kDoseMassUgMax, "what one tablet holds"));
  return scaled(tablets, each_ug, 1);
}

Result<MeasurableAmount> measurable_volume(const ExactAmount& volume_ul, std::uint64_t step_ul) {
  WRACKLINE_TRY(check_amount(volume_ul, "the volume"));
  WRACKLINE_TRY(check_range(step_ul, kDoseVolumeUlMax, "the scale's step"));
  return measurable(volume_ul, step_ul, 1);
}

Result<MeasurableAmount> measurable_tablets(const ExactAmount& tablets, TabletParts parts) {
  WRACKLINE_TRY(check_amount(tablets, "the number of tablets"));
  return measurable(tablets, 1, static_cast<std::uint32_t>(parts));
}

Status check_tablets(const ExactAmount& tablets, TabletParts parts) {
  WRACKLINE_TRY(check_amount(tablets, "the number of tablets"));
  if (static_cast<Int128>(static_cast<std::uint32_t>(parts)) % tablets.divisor == 0) return {};
  switch (parts) {
    case TabletParts::kWhole:
      return refused("this form may not be parted; give whole ones, or ask the vet for another form");
    case TabletParts::kHalves:
      return refused("this form may be halved and no more; give whole and half ones, or ask the vet");
    case TabletParts::kQuarters:
      break;
  }
  return refused("this form may be parted into halves and quarters only; choose one of them, or ask the vet");
}

}  // namespace wrackline
