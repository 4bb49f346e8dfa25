// When things are due that go by how long ago they were last done: weighing, water readings, enrichment,
// cleaning.
#pragma once

#include <cstdint>
#include <optional>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

struct RecencyDue {
  Day due_day = 0;
  // Husbandry days since it was due: 0 = today, above = overdue, below = so many days to go.
  std::int64_t overdue_days = 0;
  bool ever_done = false;
};

// Due `every_days` after it was last done; when it never was, on `first_day`, the first day of the plan. The last time counts
// even when it was before the plan. `today` is the local day.
// Errors: kInvalid: every 0 days, or last done after today (one of the clocks is wrong).
Result<RecencyDue> recency_due(std::optional<Day> last_done, Day first_day, std::uint32_t every_days,
                               Day today);

}  // namespace wrackline
