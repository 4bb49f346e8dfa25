#include "schedule/wall_clock.h"

#include <algorithm>

#include "base/iso_week.h"

namespace wrackline {
namespace {

Unexpected cannot_list(const char* why) {
  return fail(ErrorCode::kInvalid, std::string("listing what is due: ") + why);
}

std::int64_t monday_of(Day day) { return std::int64_t{day} + 1 - iso_weekday(day); }

bool is_on(const WallClockPlan& plan, Day day) {
  const std::int64_t weeks = (monday_of(day) - monday_of(plan.first_day)) / 7;
  return weeks % plan.every_weeks == 0 && is_on_weekday(day, plan.weekdays);
}

}  // namespace

Result<std::vector<WallClockDue>> wall_clock_due(const WallClockPlan& plan, Day from_day, Day to_day,
                                                 const ZoneOffsets& zone) {
  if (to_day < from_day) return cannot_list("the last day is before the first; swap the two");
  if (std::int64_t{to_day} - from_day >= kScheduleDaysMax)
    return cannot_list("the span is longer than a year; ask for a shorter one");
  if (plan.every_weeks == 0) return cannot_list("the plan is for every 0 weeks; give at least 1");
  std::vector<std::uint32_t> slots = plan.slots_min;
  std::sort(slots.begin(), slots.end());
  slots.erase(std::unique(slots.begin(), slots.end()), slots.end());
  if (!slots.empty() && slots.back() >= 24 * 60)
    return cannot_list("a slot is not within the day; give minutes after midnight, 0 to 1439");

  const Day first = std::max(from_day, plan.first_day);
  const Day last = plan.last_day ? std::min(to_day, *plan.last_day) : to_day;
  std::vector<WallClockDue> out;
  for (std::int64_t day = first; day <= last; ++day) {
    const Day today = static_cast<Day>(day);
    if (!is_on(plan, today)) continue;
    for (const std::uint32_t slot : slots) {
      WRACKLINE_TRY_VALUE(instant, zone.instant(today, slot));
      out.push_back({today, slot, instant});
    }
  }
  return out;
}

}  // namespace wrackline
