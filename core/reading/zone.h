// The offsets of a call as schedule/ takes them.
#pragma once

#include <algorithm>

#include "reading/record_view.h"
#include "schedule/zone_offsets.h"

namespace wrackline {

// Good for `day` and some days around it. Errors: kInvalid, with `doing` in the message.
template <typename Offsets>
Result<ZoneOffsets> zone_of(const Offsets& offsets, Day day, const char* doing) {
  std::vector<OffsetChange> changes;
  for (const auto& offset : offsets) {
    if (offset.from_ms() < 0 || day < 0) {
      return fail(ErrorCode::kInvalid, std::string(doing) + ": times before 1970 are not answered; ask about a later day");
    }
    changes.push_back({static_cast<WallMs>(offset.from_ms()), offset.utc_offset_min()});
  }
  WallMs until_ms = (static_cast<WallMs>(std::max(day, Day{0})) + 4) * kDayMs;
  if (!changes.empty()) until_ms = std::max(until_ms, changes.back().from_ms + kDayMs);
  return ZoneOffsets::make(std::move(changes), until_ms);
}

// The husbandry day: from local midnight to the next.
struct DaySpan {
  WallMs begin_ms = 0;
  WallMs end_ms = 0;
};
inline Result<DaySpan> day_span(const ZoneOffsets& zone, Day day) {
  WRACKLINE_TRY_VALUE(begin, zone.instant(day, 0));
  WRACKLINE_TRY_VALUE(end, zone.instant(day + 1, 0));
  return DaySpan{begin.at_ms, end.at_ms};
}

}  // namespace wrackline
