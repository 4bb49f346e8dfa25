// Chlorine and bromine: free, combined and total, and what may be called by which name.
//
// total = free + combined, all as chlorine (Cl2). In sea water the bromide turns chlorine into bromine at
// once, so what a chlorine test shows there is the "total residual oxidant", told as Cl2 (common practice;
// Standard Methods 4500-Cl). A redox potential (ORP) is a reading, not a figure of these: it means something
// only with the reference electrode it was read against, which water/limits.h keeps beside it as the basis.
#pragma once

#include <cstdint>
#include <optional>

#include "base/result.h"

namespace wrackline {

enum class WaterKind : std::uint8_t { kFresh, kSea };

struct Oxidant {
  std::int64_t free_ng_per_l = 0;  // All three as Cl2; 1 mg/L is 1,000,000.
  std::int64_t combined_ng_per_l = 0;
  std::int64_t total_ng_per_l = 0;
  const char* total_name = nullptr;  // See oxidant_name().
};

// "total chlorine as Cl2" in fresh water, "total residual oxidant as Cl2" in sea water.
const char* oxidant_name(WaterKind water);

// Errors: kInvalid for a reading below 0, and for a total below the free, which cannot be: the combined would
// be less than nothing. It is not made 0, since one of the two readings is wrong.
Result<Oxidant> oxidant_from_free_and_total(WaterKind water, std::int64_t free_ng_per_l,
                                            std::int64_t total_ng_per_l);

// Errors: kInvalid for a reading below 0 or a sum too large to say.
Result<Oxidant> oxidant_from_free_and_combined(WaterKind water, std::int64_t free_ng_per_l,
                                               std::int64_t combined_ng_per_l);

// The same oxidant told as the other substance, by molar mass: 159.808 g of Br2 for 70.906 g of Cl2. Nothing
// below 0 or when too large to say.
std::optional<std::int64_t> bromine_from_chlorine_ng_per_l(std::int64_t chlorine_ng_per_l);
std::optional<std::int64_t> chlorine_from_bromine_ng_per_l(std::int64_t bromine_ng_per_l);

}  // namespace wrackline
