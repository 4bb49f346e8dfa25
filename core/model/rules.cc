#include "model/rules.h"

namespace wrackline {

bool has_text(const std::string& text) { return text.find_first_not_of(" \t\r\n") != std::string::npos; }

Day local_day(std::uint64_t happened_ms, std::int32_t utc_offset_min) {
  constexpr std::int64_t kDayMs = 24LL * 60 * 60 * 1000;
  const std::int64_t local_ms = static_cast<std::int64_t>(happened_ms) + utc_offset_min * 60'000LL;
  // Division rounds towards zero; a local time before 1970 belongs to the day before.
  const std::int64_t day = local_ms / kDayMs - (local_ms % kDayMs < 0 ? 1 : 0);
  return static_cast<Day>(day);
}

}  // namespace wrackline
