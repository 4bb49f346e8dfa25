#include "nutrition/supplements.h"

#include "base/rounding.h"

namespace wrackline {
namespace {

constexpr Int128 kMgPerKg = 1'000'000;

Unexpected cannot_supplement(const char* why) {
  return fail(ErrorCode::kInvalid, std::string("computing a supplement: ") + why);
}

}  // namespace

Result<SupplementAmount> supplement_for_fish(const SupplementRow& row, std::uint64_t fish_mg) {
  if (row.substance.empty())
    return cannot_supplement("the substance is not named; IU of two substances are not the same");
  if (row.set_by.empty()) return cannot_supplement("nobody has set the amount; the vet does that");
  if (row.low_per_kg == 0) return cannot_supplement("the amount per kilogram is 0; strike the row instead");
  const std::uint32_t high_per_kg = row.high_per_kg.value_or(row.low_per_kg);
  if (high_per_kg < row.low_per_kg) return cannot_supplement("the high amount is below the low one; swap the two");
  const std::optional<std::uint64_t> low =
      fit<std::uint64_t>(divide_rounded(Int128(row.low_per_kg) * fish_mg, kMgPerKg));
  const std::optional<std::uint64_t> high =
      fit<std::uint64_t>(divide_rounded(Int128(high_per_kg) * fish_mg, kMgPerKg));
  if (!low || !high) return cannot_supplement("the amount is too large to say; look at the units");
  return SupplementAmount{*low, *high, row.unit, row.substance};
}

Result<std::uint64_t> micrograms_from_milli_iu(std::uint64_t milli_iu, const std::string& substance,
                                               const IuStrength& strength) {
  if (substance.empty()) return cannot_supplement("the IU have no substance; name it");
  if (strength.substance != substance) {
    return cannot_supplement("the strength is that of another substance; the same IU of it are another mass");
  }
  if (strength.milli_iu_per_mg == 0) return cannot_supplement("the strength is not known; take it from the label");
  if (strength.source.empty()) return cannot_supplement("the strength has no source; say where it is written");
  const std::optional<std::uint64_t> ug =
      fit<std::uint64_t>(divide_rounded(Int128(milli_iu) * 1000, strength.milli_iu_per_mg));
  if (!ug) return cannot_supplement("the mass is too large to say; look at the units");
  return *ug;
}

}  // namespace wrackline
