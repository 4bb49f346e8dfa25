#include "water/disinfectant.h"

#include "base/rounding.h"

namespace wrackline {
namespace {

constexpr Int128 kBromineMgPerMol = 159'808;
constexpr Int128 kChlorineMgPerMol = 70'906;

Unexpected below_zero() {
  return fail(ErrorCode::kInvalid,
              "computing chlorine: a reading is below 0; leave out what was not measured");
}

}  // namespace

const char* oxidant_name(WaterKind water) {
  return water == WaterKind::kSea ? "total residual oxidant as Cl2" : "total chlorine as Cl2";
}

Result<Oxidant> oxidant_from_free_and_total(WaterKind water, std::int64_t free_ng_per_l,
                                            std::int64_t total_ng_per_l) {
  if (free_ng_per_l < 0 || total_ng_per_l < 0) return below_zero();
  if (total_ng_per_l < free_ng_per_l) {
    return fail(ErrorCode::kInvalid,
                "computing combined chlorine: the total is less than the free, so one of the two readings is "
                "wrong; test both again");
  }
  return Oxidant{free_ng_per_l, total_ng_per_l - free_ng_per_l, total_ng_per_l, oxidant_name(water)};
}

Result<Oxidant> oxidant_from_free_and_combined(WaterKind water, std::int64_t free_ng_per_l,
                                               std::int64_t combined_ng_per_l) {
  if (free_ng_per_l < 0 || combined_ng_per_l < 0) return below_zero();
  const std::optional<std::int64_t> total = fit<std::int64_t>(Int128(free_ng_per_l) + combined_ng_per_l);
  if (!total) return fail(ErrorCode::kInvalid, "computing total chlorine: the sum is too large to say");
  return Oxidant{free_ng_per_l, combined_ng_per_l, *total, oxidant_name(water)};
}

std::optional<std::int64_t> bromine_from_chlorine_ng_per_l(std::int64_t chlorine_ng_per_l) {
  if (chlorine_ng_per_l < 0) return std::nullopt;
  return fit<std::int64_t>(divide_rounded(chlorine_ng_per_l * kBromineMgPerMol, kChlorineMgPerMol));
}

std::optional<std::int64_t> chlorine_from_bromine_ng_per_l(std::int64_t bromine_ng_per_l) {
  if (bromine_ng_per_l < 0) return std::nullopt;
  return fit<std::int64_t>(divide_rounded(bromine_ng_per_l * kChlorineMgPerMol, kBromineMgPerMol));
}

}  // namespace wrackline
