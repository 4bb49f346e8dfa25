#include "dosing/drops.h"

namespace wrackline {
namespace {

constexpr std::uint64_t kVolumeUlMax = 1'000'000'000;  // 1000 L

Unexpected refused(const char* why) {
  return fail(ErrorCode::kInvalid, std::string("counting drops: ") + why);
}

Status check(std::uint64_t volume_ul, std::uint32_t drops_per_ml) {
  if (volume_ul == 0 || volume_ul > kVolumeUlMax)
    return refused("the volume is missing or not plausible; check its unit");
  if (drops_per_ml == 0 || drops_per_ml > kDropsPerMlMax)
    return refused("drops in a millilitre differ from product to product; enter the number on its label");
  return {};
}

}  // namespace

Result<ExactAmount> drops_of_volume(std::uint64_t volume_ul, std::uint32_t drops_per_ml) {
  WRACKLINE_TRY(check(volume_ul, drops_per_ml));
  return exact_amount(static_cast<Int128>(volume_ul) * drops_per_ml, 1000);
}

Result<ExactAmount> drops_per_minute(std::uint64_t volume_ul, std::uint32_t duration_min,
                                     std::uint32_t drops_per_ml) {
  WRACKLINE_TRY(check(volume_ul, drops_per_ml));
  if (duration_min == 0) return refused("the duration is 0; enter the minutes it is to take");
  return exact_amount(static_cast<Int128>(volume_ul) * drops_per_ml,
                      static_cast<Int128>(duration_min) * 1000);
}

Result<std::uint64_t> whole_drops(const ExactAmount& drops) {
  if (!is_usable(drops)) return refused("this is no amount; compute it again");
  const auto whole = fit<std::uint64_t>(divide_rounded(drops.numerator, drops.divisor));
  if (!whole) return refused("there are too many to count; check the units");
  if (*whole == 0) return refused("it is less than half a drop; choose another measure");
  return *whole;
}

}  // namespace wrackline
