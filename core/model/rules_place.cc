// The rules of tags, moves, hygiene checks, the close of a day, and the site's own limits.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

namespace {

// ISO 11784 as printed: three digits of country or manufacturer, then twelve of the animal, below 2^38.
constexpr std::uint64_t kPitIdMax = 274'877'906'943;

bool is_pit_code(const std::string& code) {
  if (code.size() != 15) return false;
  std::uint64_t id = 0;
  for (std::size_t i = 0; i < code.size(); ++i) {
    if (code[i] < '0' || code[i] > '9') return false;
    if (i >= 3) id = id * 10 + static_cast<std::uint64_t>(code[i] - '0');
  }
  return id <= kPitIdMax;
}

// An area record, or the text of release 0.1. Both may stand in one record: an edit gives the record to one that was written
// with the text, and the record counts.
template <typename Message>
void expect_area(Problems& problems, const Message& message, ProblemCode none_given) {
  expect(problems, message.has_in_area() || has_text(message.area()), Message::kInAreaFieldNumber, none_given);
  expect(problems, !message.has_in_area() || is_usable(message.in_area()), Message::kInAreaFieldNumber, ProblemCode::kAreaIsNoRecord);
}

}  // namespace

void validate_tag(ByteView fields, Problems& problems) {
  Tag tag;
  if (!read_to_judge(fields, tag, problems)) return;
  expect(problems, is_usable(tag.animal()), Tag::kAnimalFieldNumber, ProblemCode::kTagNamesNoAnimal);
  expect(problems, tag.tag_kind() != TAG_KIND_UNSPECIFIED, Tag::kTagKindFieldNumber, ProblemCode::kTagKindIsMissing);
  expect(problems, has_text(tag.code()), Tag::kCodeFieldNumber, ProblemCode::kTagHasNoCode);
  expect(problems, tag.tag_kind() != TAG_KIND_PIT || is_pit_code(tag.code()), Tag::kTagKindFieldNumber, ProblemCode::kPitCodeNotIso11784);
  expect(problems, is_plausible_day(tag.applied_day()) && is_plausible_day(tag.gone_day()), Tag::kAppliedDayFieldNumber, ProblemCode::kDayOfTagNotPlausible);
  expect(problems, !tag.has_gone_day() || !tag.has_applied_day() || tag.gone_day() >= tag.applied_day(), Tag::kGoneDayFieldNumber, ProblemCode::kTagGoneBeforeApplied);
}

void validate_move(ByteView fields, Problems& problems) {
  Move move;
  if (!read_to_judge(fields, move, problems)) return;
  expect(problems, is_usable(move.animal()), Move::kAnimalFieldNumber, ProblemCode::kMoveNamesNoAnimal);
  expect(problems, is_usable(move.to_pool()), Move::kToPoolFieldNumber, ProblemCode::kMoveHasNoGoal);
  expect(problems, !move.has_from_pool() || is_usable(move.from_pool()), Move::kFromPoolFieldNumber, ProblemCode::kPoolLeftIsNoRecord);
  expect_day(problems, move);
  expect(problems, !move.has_heads() || (move.heads() >= 1 && move.heads() <= kHeadCountMax), Move::kHeadsFieldNumber, ProblemCode::kHeadsMovedNotPlausible);
}

void validate_hygiene_check(ByteView fields, Problems& problems) {
  HygieneCheck check;
  if (!read_to_judge(fields, check, problems)) return;
  expect_area(problems, check, ProblemCode::kCheckNamesNoArea);
  expect(problems, has_text(check.task()), HygieneCheck::kTaskFieldNumber, ProblemCode::kCheckNamesNoTask);
  expect_day(problems, check);
  expect(problems, check.has_passed(), HygieneCheck::kPassedFieldNumber, ProblemCode::kInOrderIsMissing);
}

void validate_day_close(ByteView fields, Problems& problems) {
  DayClose close;
  if (!read_to_judge(fields, close, problems)) return;
  expect_area(problems, close, ProblemCode::kCloseNamesNoArea);
  // A day may be closed after midnight, so the instant is not held against it.
  expect(problems, close.has_day() && is_plausible_day(close.day()), DayClose::kDayFieldNumber, ProblemCode::kClosedDayIsMissing);
  expect_instant(problems, close);
}

void validate_site_limit(ByteView fields, Problems& problems) {
  SiteLimit limit;
  if (!read_to_judge(fields, limit, problems)) return;
  expect(problems, !limit.has_subject() || is_usable(limit.subject()), SiteLimit::kSubjectFieldNumber, ProblemCode::kLimitedSubjectIsNoRecord);
  expect(problems, limit.of_kind() != 0 && limit.of_field() != 0, SiteLimit::kOfKindFieldNumber, ProblemCode::kLimitedFieldIsMissing);
  expect(problems, limit.has_low() || limit.has_high(), SiteLimit::kLowFieldNumber, ProblemCode::kSiteLimitLimitsNothing);
  expect(problems, !limit.has_low() || !limit.has_high() || limit.low() <= limit.high(), SiteLimit::kLowFieldNumber, ProblemCode::kLowestAboveHighest);
}

void validate_hold(ByteView fields, Problems& problems) {
  Hold hold;
  if (!read_to_judge(fields, hold, problems)) return;
  expect(problems, hold.of_log() != 0 && hold.first_seq() >= 1 && hold.first_seq() <= hold.last_seq() && hold.last_seq() <= kSeqMax, Hold::kOfLogFieldNumber, ProblemCode::kHoldNamesNoChanges);
}

}  // namespace wrackline
