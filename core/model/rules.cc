#include "model/rules.h"

namespace wrackline {

bool has_text(const std::string& text) { return text.find_first_not_of(" \t\r\n") != std::string::npos; }

Day local_day(std::uint64_t happened_ms, std::int32_t utc_offset_min) {
  const std::int64_t local_ms = static_cast<std::int64_t>(happened_ms) + utc_offset_min * 60'000LL;
  // Division rounds towards zero; a local time before 1970 belongs to the day before.
  constexpr std::int64_t day_ms = kDayMs;
  const std::int64_t day = local_ms / day_ms - (local_ms % day_ms < 0 ? 1 : 0);
  return static_cast<Day>(day);
}

}  // namespace wrackline
