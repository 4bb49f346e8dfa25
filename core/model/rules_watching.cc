// The rules of what is watched and measured around an animal: watch plans, codes, scans, water.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

namespace {

constexpr std::uint32_t kScansMax = 1'000'000;

// Each property can lie within these: wide bounds that only a mixed-up unit oversteps. Common sense, no
// source.
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

void validate_watch_plan(ByteView fields, Problems& problems) {
  WatchPlan plan;
  if (!read_to_judge(fields, plan, problems)) return;
  expect(problems, is_usable(plan.subject()), WatchPlan::kSubjectFieldNumber, ProblemCode::kWatchNamesNoAnimalAndNoPool);
  expect(problems, plan.has_first_day(), WatchPlan::kFirstDayFieldNumber, ProblemCode::kFirstDayOfPlanIsMissing);
  expect(problems, is_plausible_day(plan.first_day()) && is_plausible_day(plan.last_day()), WatchPlan::kFirstDayFieldNumber, ProblemCode::kDayOfPlanNotPlausible);
  expect(problems, !plan.has_last_day() || plan.last_day() >= plan.first_day(), WatchPlan::kLastDayFieldNumber, ProblemCode::kLastDayBeforeFirst);
  expect(problems, (plan.quantity() != QUANTITY_UNSPECIFIED) != (plan.parameter() != PARAMETER_UNSPECIFIED), WatchPlan::kQuantityFieldNumber, ProblemCode::kWatchIsForOneThing);
  expect(problems, plan.every_days() >= 1 && plan.every_days() <= kDaysMax, WatchPlan::kEveryDaysFieldNumber, ProblemCode::kWatchIntervalIsMissing);
  expect(problems, slots_within_day(plan.slots_min()), WatchPlan::kSlotsMinFieldNumber, ProblemCode::kOrderSlotNotWithinDay);
}

void validate_code(ByteView fields, Problems& problems) {
  Code code;
  if (!read_to_judge(fields, code, problems)) return;
  expect(problems, code.topic() != TOPIC_UNSPECIFIED, Code::kTopicFieldNumber, ProblemCode::kCodeTopicIsMissing);
  expect(problems, has_text(code.code()), Code::kCodeFieldNumber, ProblemCode::kCodeIsEmpty);
  expect(problems, has_text(code.meaning()), Code::kMeaningFieldNumber, ProblemCode::kCodeMeaningIsMissing);
}

void validate_scan(ByteView fields, Problems& problems) {
  Scan scan;
  if (!read_to_judge(fields, scan, problems)) return;
  expect(problems, is_usable(scan.animal()), Scan::kAnimalFieldNumber, ProblemCode::kScanNamesNoAnimal);
  expect_day(problems, scan);
  expect(problems, !scan.has_every_s() || (scan.every_s() >= 1 && scan.every_s() <= 86'400), Scan::kEverySFieldNumber, ProblemCode::kScanIntervalNotPlausible);
  std::uint64_t moments = scan.not_visible();
  bool coded = true;
  for (const ScanCount& count : scan.counts()) {
    coded = coded && has_text(count.code());
    moments += count.scans();
  }
  expect(problems, coded, Scan::kCountsFieldNumber, ProblemCode::kCountHasNoCode);
  expect(problems, moments >= 1, Scan::kCountsFieldNumber, ProblemCode::kNothingWasCounted);
  expect(problems, moments <= kScansMax, Scan::kCountsFieldNumber, ProblemCode::kMomentsNotPlausible);
}

void validate_water_reading(ByteView fields, Problems& problems) {
  WaterReading reading;
  if (!read_to_judge(fields, reading, problems)) return;
  expect(problems, is_usable(reading.pool()), WaterReading::kPoolFieldNumber, ProblemCode::kReadingNamesNoPool);
  expect_day(problems, reading);
  expect(problems, reading.parameter() != PARAMETER_UNSPECIFIED, WaterReading::kParameterFieldNumber, ProblemCode::kParameterIsMissing);
  expect(problems, reading.has_value(), WaterReading::kValueFieldNumber, ProblemCode::kReadingIsMissing);
  const Bounds bounds = bounds_of(reading.parameter());
  expect(problems, reading.value() >= bounds.low && reading.value() <= bounds.high, WaterReading::kValueFieldNumber, ProblemCode::kReadingCannotBe);
}

void validate_water_limit(ByteView fields, Problems& problems) {
  WaterLimit limit;
  if (!read_to_judge(fields, limit, problems)) return;
  expect(problems, !limit.has_pool() || is_usable(limit.pool()), WaterLimit::kPoolFieldNumber, ProblemCode::kPoolIsNoRecord);
  expect(problems, limit.parameter() != PARAMETER_UNSPECIFIED, WaterLimit::kParameterFieldNumber, ProblemCode::kLimitedParameterIsMissing);
  expect(problems, limit.has_low() || limit.has_high() || limit.has_every_hours(), WaterLimit::kLowFieldNumber, ProblemCode::kWaterLimitLimitsNothing);
  expect(problems, !limit.has_low() || !limit.has_high() || limit.low() <= limit.high(), WaterLimit::kLowFieldNumber, ProblemCode::kLowestAboveHighest);
  expect(problems, !limit.has_every_hours() || limit.every_hours() >= 1, WaterLimit::kEveryHoursFieldNumber, ProblemCode::kReadingEvery0Hours);
  expect(problems, has_text(limit.source()), WaterLimit::kSourceFieldNumber, ProblemCode::kLimitSourceIsMissing);
}

}  // namespace wrackline
