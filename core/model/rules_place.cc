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
void expect_area(std::vector<std::string>& problems, const Message& message, const char* none_given) {
  expect(problems, message.has_in_area() || has_text(message.area()), none_given);
  expect(problems, !message.has_in_area() || is_usable(message.in_area()), "the area is not a record: choose the area again");
}

}  // namespace

void validate_tag(ByteView fields, std::vector<std::string>& problems) {
  Tag tag;
  if (!read_to_judge(fields, tag, problems)) return;
  expect(problems, is_usable(tag.animal()), "the tag names no animal: say who carries it");
  expect(problems, tag.tag_kind() != TAG_KIND_UNSPECIFIED, "it is not said what kind of tag it is: choose one");
  expect(problems, has_text(tag.code()), "the tag has no code: write what is read on it or from it");
  expect(problems, tag.tag_kind() != TAG_KIND_PIT || is_pit_code(tag.code()),
         "a PIT code by ISO 11784 has 15 digits, the last twelve at most 274877906943: read it again, or choose the other kind "
         "of PIT");
  expect(problems, is_plausible_day(tag.applied_day()) && is_plausible_day(tag.gone_day()),
         "a day of the tag is not plausible: check the dates");
  expect(problems, !tag.has_gone_day() || !tag.has_applied_day() || tag.gone_day() >= tag.applied_day(),
         "the tag was gone before it was applied: correct one of the two");
}

void validate_move(ByteView fields, std::vector<std::string>& problems) {
  Move move;
  if (!read_to_judge(fields, move, problems)) return;
  expect(problems, is_usable(move.animal()), "the move names no animal: say who was moved");
  expect(problems, is_usable(move.to_pool()), "the move has no goal: say to which pool");
  expect(problems, !move.has_from_pool() || is_usable(move.from_pool()), "the pool it came from is not a record: choose it again");
  expect_day(problems, move);
  expect(problems, !move.has_heads() || (move.heads() >= 1 && move.heads() <= kHeadCountMax),
         "the number of heads moved is not plausible: check it");
}

void validate_hygiene_check(ByteView fields, std::vector<std::string>& problems) {
  HygieneCheck check;
  if (!read_to_judge(fields, check, problems)) return;
  expect_area(problems, check, "the check names no area: say where");
  expect(problems, has_text(check.task()), "the check names no task: say what was done");
  expect_day(problems, check);
  expect(problems, check.has_passed(), "it is not said whether it is in order: say yes or no");
}

void validate_day_close(ByteView fields, std::vector<std::string>& problems) {
  DayClose close;
  if (!read_to_judge(fields, close, problems)) return;
  expect_area(problems, close, "the close names no area: say whose day is complete");
  // A day may be closed after midnight, so the instant is not held against it.
  expect(problems, close.has_day() && is_plausible_day(close.day()), "the day is missing or not plausible: say which day is complete");
  expect_instant(problems, close);
}

void validate_site_limit(ByteView fields, std::vector<std::string>& problems) {
  SiteLimit limit;
  if (!read_to_judge(fields, limit, problems)) return;
  expect(problems, !limit.has_subject() || is_usable(limit.subject()), "the animal or pool is not a record: choose it again");
  expect(problems, limit.of_kind() != 0 && limit.of_field() != 0, "it is not said which field is limited: choose the entry and its field");
  expect(problems, limit.has_low() || limit.has_high(), "the row limits nothing: give a lowest or a highest value");
  expect(problems, !limit.has_low() || !limit.has_high() || limit.low() <= limit.high(),
         "the lowest value is above the highest: swap them");
}

void validate_hold(ByteView fields, std::vector<std::string>& problems) {
  Hold hold;
  if (!read_to_judge(fields, hold, problems)) return;
  expect(problems, hold.of_log() != 0 && hold.first_seq() >= 1 && hold.first_seq() <= hold.last_seq() && hold.last_seq() <= kSeqMax,
         "the hold names no changes: name a log, its first and its last change");
}

}  // namespace wrackline
