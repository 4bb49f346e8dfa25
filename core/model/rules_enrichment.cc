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

void validate_enricher(ByteView fields, Problems& problems) {
  Enricher enricher;
  if (!read_to_judge(fields, enricher, problems)) return;
  expect(problems, has_text(enricher.name()), Enricher::kNameFieldNumber, ProblemCode::kEnricherHasNoName);
  expect(problems, all_usable(enricher.animals()), Enricher::kAnimalsFieldNumber, ProblemCode::kAllowedAnimalIsNoRecord);
  expect(problems, !enricher.has_inspect_every_days() || enricher.inspect_every_days() >= 1, Enricher::kInspectEveryDaysFieldNumber, ProblemCode::kInspectionEvery0Days);
  expect(problems, enricher.inspect_every_days() <= kDaysMax && enricher.gap_days() <= kDaysMax, Enricher::kInspectEveryDaysFieldNumber, ProblemCode::kDaysNotPlausible);
}

void validate_inspection(ByteView fields, Problems& problems) {
  Inspection inspection;
  if (!read_to_judge(fields, inspection, problems)) return;
  expect(problems, is_usable(inspection.enricher()), Inspection::kEnricherFieldNumber, ProblemCode::kInspectionNamesNoEnricher);
  expect_day(problems, inspection);
  expect(problems, inspection.has_safe(), Inspection::kSafeFieldNumber, ProblemCode::kSafetyIsMissing);
  expect(problems, inspection.safe() || has_text(inspection.findings()), Inspection::kSafeFieldNumber, ProblemCode::kFindingIsMissing);
}

void validate_enrichment_use(ByteView fields, Problems& problems) {
  EnrichmentUse use;
  if (!read_to_judge(fields, use, problems)) return;
  expect(problems, is_usable(use.animal()), EnrichmentUse::kAnimalFieldNumber, ProblemCode::kUseNamesNoAnimal);
  expect(problems, is_usable(use.enricher()), EnrichmentUse::kEnricherFieldNumber, ProblemCode::kUseNamesNoEnricher);
  expect_day(problems, use);
  expect(problems, use.response() <= kResponseMax, EnrichmentUse::kResponseFieldNumber, ProblemCode::kResponseIsBeyond0To4);
  expect(problems, use.minutes() <= 7 * kMinutesPerDay, EnrichmentUse::kMinutesFieldNumber, ProblemCode::kMinutesAreMoreThanAWeek);
}

void validate_enrichment_plan(ByteView fields, Problems& problems) {
  EnrichmentPlan plan;
  if (!read_to_judge(fields, plan, problems)) return;
  expect(problems, is_usable(plan.animal()), EnrichmentPlan::kAnimalFieldNumber, ProblemCode::kEnrichmentPlanNamesNoAnimal);
  expect(problems, plan.has_first_day(), EnrichmentPlan::kFirstDayFieldNumber, ProblemCode::kFirstDayOfPlanIsMissing);
  expect(problems, is_plausible_day(plan.first_day()) && is_plausible_day(plan.last_day()), EnrichmentPlan::kFirstDayFieldNumber, ProblemCode::kDayOfPlanNotPlausible);
  expect(problems, !plan.has_last_day() || plan.last_day() >= plan.first_day(), EnrichmentPlan::kLastDayFieldNumber, ProblemCode::kLastDayBeforeFirst);
  expect(problems, plan.times_per_week() >= 1 && plan.times_per_week() <= 70, EnrichmentPlan::kTimesPerWeekFieldNumber, ProblemCode::kTimesAWeekAreMissing);
  expect(problems, plan.gap_days() <= kDaysMax, EnrichmentPlan::kGapDaysFieldNumber, ProblemCode::kGapNotPlausible);
  expect(problems, all_usable(plan.enrichers()), EnrichmentPlan::kEnrichersFieldNumber, ProblemCode::kEnricherIsNoRecord);
  expect(problems, !plan.has_approved_by() || is_usable(plan.approved_by()), EnrichmentPlan::kApprovedByFieldNumber, ProblemCode::kApproverIsNoRecord);
}

void validate_cue(ByteView fields, Problems& problems) {
  Cue cue;
  if (!read_to_judge(fields, cue, problems)) return;
  expect(problems, has_text(cue.name()), Cue::kNameFieldNumber, ProblemCode::kCueHasNoName);
}

void validate_training_session(ByteView fields, Problems& problems) {
  TrainingSession session;
  if (!read_to_judge(fields, session, problems)) return;
  expect(problems, is_usable(session.animal()), TrainingSession::kAnimalFieldNumber, ProblemCode::kSessionNamesNoAnimal);
  expect(problems, is_usable(session.cue()), TrainingSession::kCueFieldNumber, ProblemCode::kSessionNamesNoCue);
  expect_day(problems, session);
  expect(problems, session.has_trials() == session.has_successes(), TrainingSession::kTrialsFieldNumber, ProblemCode::kTrialsAndSuccessesGoTogether);
  expect(problems, session.successes() <= session.trials(), TrainingSession::kSuccessesFieldNumber, ProblemCode::kMoreSuccessesThanTrials);
  expect(problems, session.trials() <= kTrialsMax, TrainingSession::kTrialsFieldNumber, ProblemCode::kTrialsNotPlausible);
  expect(problems, session.minutes() <= kMinutesPerDay, TrainingSession::kMinutesFieldNumber, ProblemCode::kSessionLongerThanADay);
}

}  // namespace wrackline
