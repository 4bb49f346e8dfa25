// Ammonia, nitrite and nitrate as their nitrogen or as themselves: kits differ, and mixing the two is a
// factor of up to four.
//
// Factors from the standard atomic masses: NH3 1.21589, NO2 3.28453, NO3 4.42680 of the nitrogen in them.
#pragma once

#include <cstdint>
#include <optional>

namespace wrackline {

enum class NitrogenForm : std::uint8_t { kAmmonia, kNitrite, kNitrate };

// Concentrations in ng/L: 1 mg/L is 1,000,000. To the nearest; nothing when too large to say or below 0.
std::optional<std::int64_t> as_itself_ng_per_l(NitrogenForm form, std::int64_t nitrogen_ng_per_l);
std::optional<std::int64_t> as_nitrogen_ng_per_l(NitrogenForm form, std::int64_t itself_ng_per_l);

}  // namespace wrackline
