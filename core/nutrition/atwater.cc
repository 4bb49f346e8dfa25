#include "nutrition/atwater.h"

#include "base/rounding.h"

namespace wrackline {
namespace {


bool known(std::optional<std::uint32_t> ppm) { return ppm && *ppm <= kPpm; }

}  // namespace

std::optional<AtwaterEnergy> atwater_energy(const Proximates& food, const AtwaterFactors& factors) {
  if (!known(food.protein_ppm) || !known(food.fat_ppm) || !known(food.carbohydrate_ppm)) return std::nullopt;
  Int128 carbohydrate_ppm = *food.carbohydrate_ppm;
  if (factors.kind == AtwaterKind::kModified) {
    if (!known(food.fibre_ppm) || *food.fibre_ppm > *food.carbohydrate_ppm) return std::nullopt;
    carbohydrate_ppm -= *food.fibre_ppm;
  }
  // A part per million is a milligram in a kilogram: thousandths of a calorie per kilogram.
  const Int128 mcal_per_kg = Int128(*food.protein_ppm) * factors.protein_cal_per_g +
                             Int128(*food.fat_ppm) * factors.fat_cal_per_g +
                             carbohydrate_ppm * factors.carbohydrate_cal_per_g;
  const std::optional<std::uint64_t> per_kg = fit<std::uint64_t>(divide_rounded(mcal_per_kg, 1000));
  const std::optional<std::uint32_t> per_g = fit<std::uint32_t>(divide_rounded(mcal_per_kg, kPpm));
  if (!per_kg || !per_g) return std::nullopt;
  return AtwaterEnergy{*per_kg, *per_g, factors};
}

ProximatesSum sum_proximates(const Proximates& food) {
  std::uint32_t sum_ppm = 0;
  for (const std::optional<std::uint32_t>& part :
       {food.water_ppm, food.protein_ppm, food.fat_ppm, food.carbohydrate_ppm, food.ash_ppm}) {
    if (!known(part)) return {};
    sum_ppm += *part;
  }
  return {sum_ppm, sum_ppm >= 990'000 && sum_ppm <= 1'010'000};
}

}  // namespace wrackline
