// The rules of what is watched and measured around an animal: watch plans, codes, scans, water.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

namespace {

constexpr std::uint32_t kScansMax = 1'000'000;

// What each property can be at all: wide bounds that only a mixed-up unit oversteps. Common sense, no source.
struct Bounds {
  std::int64_t low, high;
};
Bounds bounds_of(Parameter parameter) {
  switch (parameter) {
    case PARAMETER_TEMPERATURE:
      return {-5'000, 60'000};
    case PARAMETER_SALINITY:
      return {0, 100'000};
    case PARAMETER_PH:
      return {0, 14'000};
    case PARAMETER_REDOX:
      return {-2'000, 2'000};
    case PARAMETER_OXYGEN_SATURATION:
      return {0, 5'000'000};
    case PARAMETER_AIR_PRESSURE:
      return {40'000, 120'000};
    default:
      return {0, 1'000'000'000'000};
  }
}

bool slots_within_day(const google::protobuf::RepeatedField<std::uint32_t>& slots) {
  for (std::uint32_t slot : slots) {
    if (slot >= kMinutesPerDay) return false;
  }
  return true;
}

}  // namespace

void validate_watch_plan(ByteView fields, std::vector<std::string>& problems) {
  WatchPlan plan;
  if (!read_to_judge(fields, plan, problems)) return;
  expect(problems, is_usable(plan.subject()), "the plan names no animal and no pool: say what is watched");
  expect(problems, plan.has_first_day(), "the first day is missing: say from which day on the plan holds");
  expect(problems, is_plausible_day(plan.first_day()) && is_plausible_day(plan.last_day()),
         "a day of the plan is not plausible: check the dates");
  expect(problems, !plan.has_last_day() || plan.last_day() >= plan.first_day(),
         "the last day is before the first: correct one of the two");
  expect(problems, (plan.quantity() != QUANTITY_UNSPECIFIED) != (plan.parameter() != PARAMETER_UNSPECIFIED),
         "a plan is for one thing: a quantity of an animal or a property of a pool's water");
  expect(problems, plan.every_days() >= 1 && plan.every_days() <= kDaysMax, "say every how many days: at least 1");
  expect(problems, slots_within_day(plan.slots_min()),
         "a slot is not within the day: give minutes after midnight, 0 to 1439");
}

void validate_code(ByteView fields, std::vector<std::string>& problems) {
  Code code;
  if (!read_to_judge(fields, code, problems)) return;
  expect(problems, code.topic() != TOPIC_UNSPECIFIED, "it is not said what the code is about: choose a topic");
  expect(problems, has_text(code.code()), "the code is empty: give a short word");
  expect(problems, has_text(code.meaning()),
         "the meaning is missing: describe it so that two people who watch write the same code");
}

void validate_scan(ByteView fields, std::vector<std::string>& problems) {
  Scan scan;
  if (!read_to_judge(fields, scan, problems)) return;
  expect(problems, is_usable(scan.animal()), "the scan names no animal: say who was watched");
  expect_day(problems, scan);
  expect(problems, !scan.has_every_s() || (scan.every_s() >= 1 && scan.every_s() <= 86'400),
         "the time between two moments is not plausible: give seconds, 1 to 86,400");
  std::uint64_t moments = scan.not_visible();
  bool coded = true;
  for (const ScanCount& count : scan.counts()) {
    coded = coded && has_text(count.code());
    moments += count.scans();
  }
  expect(problems, coded, "a count has no code: choose what was seen");
  expect(problems, moments >= 1, "nothing was counted: enter the moments at which somebody looked");
  expect(problems, moments <= kScansMax, "the number of moments is not plausible: check the counts");
}

void validate_water_reading(ByteView fields, std::vector<std::string>& problems) {
  WaterReading reading;
  if (!read_to_judge(fields, reading, problems)) return;
  expect(problems, is_usable(reading.pool()), "the reading names no pool: say where the water was taken");
  expect_day(problems, reading);
  expect(problems, reading.parameter() != PARAMETER_UNSPECIFIED, "it is not said what was read: choose a property");
  expect(problems, reading.has_value(), "the value is missing: enter what was read, or no reading when there was none");
  const Bounds bounds = bounds_of(reading.parameter());
  expect(problems, reading.value() >= bounds.low && reading.value() <= bounds.high,
         "the value cannot be: check the unit of the instrument");
}

void validate_water_limit(ByteView fields, std::vector<std::string>& problems) {
  WaterLimit limit;
  if (!read_to_judge(fields, limit, problems)) return;
  expect(problems, !limit.has_pool() || is_usable(limit.pool()), "the pool is not a record: choose the pool again");
  expect(problems, limit.parameter() != PARAMETER_UNSPECIFIED, "it is not said what is limited: choose a property");
  expect(problems, limit.has_low() || limit.has_high() || limit.has_every_hours(),
         "the row limits nothing: give a lowest or a highest value, or how often to read");
  expect(problems, !limit.has_low() || !limit.has_high() || limit.low() <= limit.high(),
         "the lowest value is above the highest: swap them");
  expect(problems, !limit.has_every_hours() || limit.every_hours() >= 1, "reading every 0 hours is not possible: give at least 1");
  expect(problems, has_text(limit.source()), "the source is missing: write where the limit comes from, even if it is your own");
}

}  // namespace wrackline
