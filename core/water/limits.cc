#include "water/limits.h"

namespace wrackline {
namespace {

LimitVerdict verdict_of(const LimitReading& reading, const LimitRow& row) {
  if (!check_limit_row(row)) return LimitVerdict::kRowUnusable;
  if (!reading.value) return LimitVerdict::kNotMeasured;
  if (reading.unit != row.unit || reading.basis != row.basis) return LimitVerdict::kNotComparable;
  if (row.low && *reading.value < *row.low) return LimitVerdict::kBelow;
  if (row.high && *reading.value > *row.high) return LimitVerdict::kAbove;
  return LimitVerdict::kInside;
}

}  // namespace

Status check_limit_row(const LimitRow& row) {
  if (row.quantity.empty() || row.unit.empty()) {
    return fail(ErrorCode::kInvalid, "the limit does not say what it limits and in which unit: name both");
  }
  if (row.source.empty()) {
    return fail(ErrorCode::kInvalid, "the limit has no source: say where it is written, with the year");
  }
  if (!row.low && !row.high) {
    return fail(ErrorCode::kInvalid, "the limit has neither a low nor a high end: give one");
  }
  if (row.low && row.high && *row.low > *row.high) {
    return fail(ErrorCode::kInvalid, "the limit's low end is above its high end: swap the two");
  }
  return {};
}

std::vector<LimitJudgement> judge_reading(const LimitReading& reading, const std::vector<LimitRow>& rows) {
  std::vector<LimitJudgement> out;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (rows[i].quantity != reading.quantity) continue;
    out.push_back({i, verdict_of(reading, rows[i]), rows[i].verified});
  }
  return out;
}

}  // namespace wrackline
