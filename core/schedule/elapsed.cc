#include "schedule/elapsed.h"

#include <algorithm>

namespace wrackline {
namespace {

constexpr WallMs kInstantMsMax = 253'402'300'800'000;  // 10000-01-01; later ones are no instants of ours.

Unexpected cannot_count(const char* why) {
  return fail(ErrorCode::kInvalid, std::string("listing what is due: ") + why);
}

}  // namespace

Result<std::vector<WallMs>> elapsed_due(const ElapsedPlan& plan, const std::vector<WallMs>& done_ms,
                                        WallMs from_ms, WallMs to_ms) {
  if (plan.interval_min == 0) return cannot_count("the interval is 0; give the minutes from one to the next");
  if (to_ms < from_ms) return cannot_count("the span ends before it begins; swap the two");
  const WallMs interval_ms = WallMs{plan.interval_min} * 60'000;
  WallMs first_ms = plan.start_ms;
  if (!done_ms.empty()) {
    const auto [earliest, latest] = std::minmax_element(done_ms.begin(), done_ms.end());
    const WallMs counted_ms = plan.count_from == CountFrom::kFirstDone ? *earliest : *latest;
    if (counted_ms > kInstantMsMax) return cannot_count("one was done after the year 9999; check the times");
    first_ms = counted_ms + interval_ms;
  }
  WallMs end_ms = std::min(to_ms, kInstantMsMax);
  if (plan.last_ms) end_ms = std::min(end_ms, std::min(*plan.last_ms, kInstantMsMax) + 1);

  WallMs due_ms = first_ms;
  if (from_ms > first_ms) {
    const WallMs skipped =
        (from_ms - first_ms) / interval_ms + ((from_ms - first_ms) % interval_ms != 0 ? 1 : 0);
    if (skipped > kInstantMsMax / interval_ms) return std::vector<WallMs>{};
    due_ms = first_ms + skipped * interval_ms;
  }
  std::vector<WallMs> out;
  for (; due_ms < end_ms; due_ms += interval_ms) {
    if (out.size() == kElapsedDueMax)
      return cannot_count("there is too much due in the span; ask for a shorter one");
    out.push_back(due_ms);
  }
  return out;
}

}  // namespace wrackline
