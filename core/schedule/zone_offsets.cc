#include "schedule/zone_offsets.h"

namespace wrackline {
namespace {

// Signed, since offsets are.
constexpr std::int64_t kSignedDayMs = kDayMs;
constexpr std::int64_t kSignedMinuteMs = kMinuteMs;
constexpr WallMs kUntilMsMax = 253'402'300'800'000;  // 10000-01-01

Unexpected cannot_read_time(const char* why) {
  return fail(ErrorCode::kInvalid, std::string("reading local time: ") + why);
}

constexpr char kOutside[] =
    "it is outside the span whose UTC offsets are known here; ask again with the offsets of that time";

}  // namespace

Result<ZoneOffsets> ZoneOffsets::make(std::vector<OffsetChange> changes, WallMs until_ms) {
  if (changes.empty()) return cannot_read_time("no UTC offset was handed in; hand in those of the span asked for");
  if (until_ms > kUntilMsMax) return cannot_read_time("the span ends after the year 9999; hand in a shorter one");
  for (std::size_t i = 0; i < changes.size(); ++i) {
    if (changes[i].utc_offset_min > kOffsetMinMax || changes[i].utc_offset_min < -kOffsetMinMax)
      return cannot_read_time("a UTC offset is more than 14 hours; hand in minutes");
    const WallMs end_ms = i + 1 < changes.size() ? changes[i + 1].from_ms : until_ms;
    if (end_ms <= changes[i].from_ms)
      return cannot_read_time("the UTC offsets are not in the order of time; sort them");
    if (i > 0 && changes[i].from_ms % kSignedMinuteMs != 0)
      return cannot_read_time("a change of the UTC offset is not at a whole minute; check the list");
    // The last one may be cut short by the span's end.
    if (i + 1 < changes.size() && i > 0 && end_ms - changes[i].from_ms < kChangeApartMs)
      return cannot_read_time("two changes of the UTC offset are less than two days apart; check the list");
  }
  return ZoneOffsets(std::move(changes), until_ms);
}

std::int64_t ZoneOffsets::segment_end(std::size_t i) const {
  return static_cast<std::int64_t>(i + 1 < changes_.size() ? changes_[i + 1].from_ms : until_ms_);
}

Result<LocalInstant> ZoneOffsets::instant(Day day, std::uint32_t minute) const {
  if (minute >= 24 * 60) return cannot_read_time("the minute is not within the day; give 0 to 1439");
  const std::int64_t local_ms = day * kSignedDayMs + minute * kSignedMinuteMs;
  const auto at = [&](std::size_t i) { return local_ms - changes_[i].utc_offset_min * kSignedMinuteMs; };
  for (std::size_t i = 0; i < changes_.size(); ++i) {
    const std::int64_t from_ms = static_cast<std::int64_t>(changes_[i].from_ms);
    if (at(i) < from_ms || at(i) >= segment_end(i)) continue;
    // Shown again after the change at the end of this segment?
    const bool twice =
        i + 1 < changes_.size() && at(i + 1) >= segment_end(i) && at(i + 1) < segment_end(i + 1);
    return LocalInstant{static_cast<WallMs>(at(i)), changes_[i].utc_offset_min,
                        twice ? ClockReading::kTwice : ClockReading::kOnce};
  }
  for (std::size_t i = 0; i + 1 < changes_.size(); ++i) {
    const bool skipped = at(i) >= segment_end(i) && at(i + 1) < segment_end(i);
    if (skipped && at(i) < segment_end(i + 1))
      return LocalInstant{static_cast<WallMs>(at(i)), changes_[i + 1].utc_offset_min, ClockReading::kSkipped};
  }
  return cannot_read_time(kOutside);
}

Result<LocalTime> ZoneOffsets::local(WallMs at_ms) const {
  if (at_ms < changes_.front().from_ms || at_ms >= until_ms_) return cannot_read_time(kOutside);
  std::size_t i = changes_.size() - 1;
  while (changes_[i].from_ms > at_ms) --i;
  const std::int64_t local_ms = static_cast<std::int64_t>(at_ms) + changes_[i].utc_offset_min * kSignedMinuteMs;
  // Towards the past also before 1970.
  const std::int64_t day = (local_ms >= 0 ? local_ms : local_ms - (kSignedDayMs - 1)) / kSignedDayMs;
  return LocalTime{static_cast<Day>(day), static_cast<std::uint32_t>((local_ms - day * kSignedDayMs) / kSignedMinuteMs),
                   changes_[i].utc_offset_min};
}

}  // namespace wrackline
