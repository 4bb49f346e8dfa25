// Reading messages of records.proto inside core/model. Templates over the generated classes, so that this
// header itself needs none of them.
#pragma once

#include <limits>
#include <string>
#include <vector>

#include "model/rules.h"

namespace wrackline {

// Reads as much as can be read. A newer release's fields are passed over. False: no message of that kind.
template <typename Message>
bool read_message(ByteView fields, Message& message) {
  if (fields.size() > static_cast<std::size_t>(std::numeric_limits<int>::max())) return false;
  return message.ParseFromArray(fields.data(), static_cast<int>(fields.size()));
}

// Does what read_message() does, and says so when it fails; the caller then has nothing more to judge.
template <typename Message>
bool read_to_judge(ByteView fields, Message& message, Problems& problems) {
  if (read_message(fields, message)) return true;
  problems.push_back({ProblemCode::kUnreadable, 0, {}});
  return false;
}

template <typename Ref>
RecordId id_of(const Ref& ref) {
  return {{ref.log()}, ref.seq()};
}

// A reference that can name a record. (Whether there is such a record, here and now, is not a rule: it may
// still be on its way.)
template <typename Ref>
bool is_usable(const Ref& ref) {
  return id_of(ref) && ref.seq() <= kSeqMax;
}

// The rules for a husbandry day and the instant it was taken from, the same in every kind of event. The
// instant may be missing (a paper sheet knows only the day); the day may not.
template <typename Event>
void expect_instant(Problems& problems, const Event& event) {
  expect(problems, event.has_happened_ms() == event.has_utc_offset_min(), Event::kHappenedMsFieldNumber, ProblemCode::kTimeAndUtcOffsetGoTogether);
  expect(problems, !event.has_happened_ms() || event.happened_ms() / 86'400'000 <= static_cast<std::uint64_t>(kDayMax), Event::kHappenedMsFieldNumber, ProblemCode::kTimeNotPlausible);
  expect(problems, !event.has_utc_offset_min() || (event.utc_offset_min() >= -kUtcOffsetMinMax && event.utc_offset_min() <= kUtcOffsetMinMax), Event::kUtcOffsetMinFieldNumber, ProblemCode::kUtcOffsetOver14Hours);
}

template <typename Event>
void expect_day(Problems& problems, const Event& event) {
  const std::size_t before = problems.size();
  expect(problems, event.has_day(), Event::kDayFieldNumber, ProblemCode::kDayIsMissing);
  expect(problems, !event.has_day() || is_plausible_day(event.day()), Event::kDayFieldNumber, ProblemCode::kDayNotPlausible);
  expect_instant(problems, event);
  // Day and instant are compared only when each is sound by itself, so that one slip makes one sentence.
  if (problems.size() != before || !event.has_happened_ms()) return;
  expect(problems, local_day(event.happened_ms(), event.utc_offset_min()) == event.day(), Event::kDayFieldNumber, ProblemCode::kDayIsNotTheLocalDay);
}

}  // namespace wrackline
