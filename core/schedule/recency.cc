#include "schedule/recency.h"

#include "base/rounding.h"

namespace wrackline {

Result<RecencyDue> recency_due(std::optional<Day> last_done, Day first_day, std::uint32_t every_days,
                               Day today) {
  if (every_days == 0)
    return fail(ErrorCode::kInvalid, "finding when it is next due: every 0 days is no plan; give at least 1");
  if (last_done && *last_done > today)
    return fail(
        ErrorCode::kInvalid,
        "finding when it is next due: it was last done after today; check the date of the entry and this "
        "device's clock");
  const auto due = fit<Day>(last_done ? Int128(*last_done) + every_days : Int128(first_day));
  if (!due)
    return fail(ErrorCode::kInvalid,
                "finding when it is next due: the days are not plausible; check the plan");
  return RecencyDue{*due, std::int64_t{today} - *due, last_done.has_value()};
}

}  // namespace wrackline
