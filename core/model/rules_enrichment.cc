// The rules of enrichers, their inspection and use, cues and training.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

namespace {

constexpr std::uint32_t kResponseMax = 4;
constexpr std::uint32_t kTrialsMax = 10'000;

template <typename Refs>
bool all_usable(const Refs& refs) {
  for (const auto& ref : refs) {
    if (!is_usable(ref)) return false;
  }
  return true;
}

}  // namespace

void validate_enricher(ByteView fields, std::vector<std::string>& problems) {
  Enricher enricher;
  if (!read_to_judge(fields, enricher, problems)) return;
  expect(problems, has_text(enricher.name()), "the enricher has no name: give it one");
  expect(problems, all_usable(enricher.animals()), "an animal it is allowed for is not a record: choose it again");
  expect(problems, !enricher.has_inspect_every_days() || enricher.inspect_every_days() >= 1,
         "an inspection every 0 days is not possible: give at least 1, or leave it out");
  expect(problems, enricher.inspect_every_days() <= kDaysMax && enricher.gap_days() <= kDaysMax,
         "a number of days is not plausible: check it");
}

void validate_inspection(ByteView fields, std::vector<std::string>& problems) {
  Inspection inspection;
  if (!read_to_judge(fields, inspection, problems)) return;
  expect(problems, is_usable(inspection.enricher()), "the inspection names no enricher: say what was looked at");
  expect_day(problems, inspection);
  expect(problems, inspection.has_safe(), "it is not said whether it is safe: say yes or no");
  expect(problems, inspection.safe() || has_text(inspection.findings()),
         "it is not safe, but not why: write what was found");
}

void validate_enrichment_use(ByteView fields, std::vector<std::string>& problems) {
  EnrichmentUse use;
  if (!read_to_judge(fields, use, problems)) return;
  expect(problems, is_usable(use.animal()), "the use names no animal: say who it was offered to");
  expect(problems, is_usable(use.enricher()), "the use names no enricher: say what was offered");
  expect_day(problems, use);
  expect(problems, use.response() <= kResponseMax,
         "the response is a number from 0 (none) to 4 (used it for long): choose one, or leave it out when nobody watched");
  expect(problems, use.minutes() <= 7 * kMinutesPerDay, "the time is more than a week: give minutes");
}

void validate_enrichment_plan(ByteView fields, std::vector<std::string>& problems) {
  EnrichmentPlan plan;
  if (!read_to_judge(fields, plan, problems)) return;
  expect(problems, is_usable(plan.animal()), "the plan names no animal: say whose plan it is");
  expect(problems, plan.has_first_day(), "the first day is missing: say from which day on the plan holds");
  expect(problems, is_plausible_day(plan.first_day()) && is_plausible_day(plan.last_day()),
         "a day of the plan is not plausible: check the dates");
  expect(problems, !plan.has_last_day() || plan.last_day() >= plan.first_day(),
         "the last day is before the first: correct one of the two");
  expect(problems, plan.times_per_week() >= 1 && plan.times_per_week() <= 70,
         "say how often in a week: 1 to 70 times");
  expect(problems, plan.gap_days() <= kDaysMax, "the gap is not plausible: give days");
  expect(problems, all_usable(plan.enrichers()), "an enricher of the plan is not a record: choose it again");
  expect(problems, !plan.has_approved_by() || is_usable(plan.approved_by()),
         "the one who approved is not a record: choose the person again");
}

void validate_cue(ByteView fields, std::vector<std::string>& problems) {
  Cue cue;
  if (!read_to_judge(fields, cue, problems)) return;
  expect(problems, has_text(cue.name()), "the cue has no name: give it one");
}

void validate_training_session(ByteView fields, std::vector<std::string>& problems) {
  TrainingSession session;
  if (!read_to_judge(fields, session, problems)) return;
  expect(problems, is_usable(session.animal()), "the session names no animal: say who was trained");
  expect(problems, is_usable(session.cue()), "the session names no cue: say what was trained");
  expect_day(problems, session);
  expect(problems, session.has_trials() == session.has_successes(),
         "trials and successes go together: give both, or neither when nobody counted");
  expect(problems, session.successes() <= session.trials(), "there are more successes than trials: count again");
  expect(problems, session.trials() <= kTrialsMax, "the number of trials is not plausible: check it");
  expect(problems, session.minutes() <= kMinutesPerDay, "the session is longer than a day: give minutes");
}

}  // namespace wrackline
