// Goal: enrichment, training and scans are told from the records alone. Method: one seal, its toys and its trainer.
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kMonday = 20'717;

struct Seal {
  Facility facility;
  Device& desk;
  Shift shift;
  RecordId seal;

  Seal() : desk(facility.add_device("desk")), shift((facility.exchange_all(), desk), facility.keeper()) {
    seal = shift.animal("Sila");
  }

  RecordId enricher(const std::string& name, std::uint32_t gap_days) {
    proto::Enricher enricher;
    enricher.set_name(name);
    enricher.set_gap_days(gap_days);
    enricher.set_caution("small parts");
    return shift.log(Kind::kEnricher, enricher);
  }

  void use(RecordId enricher, Day day, std::optional<std::uint32_t> response = std::nullopt) {
    proto::EnrichmentUse use;
    *use.mutable_animal() = ref_of(seal);
    *use.mutable_enricher() = ref_of(enricher);
    use.set_day(day);
    if (response) use.set_response(*response);
    shift.log(Kind::kEnrichmentUse, use);
  }

  proto::EnrichmentReply enrichment(Day day) {
    proto::Call call;
    *call.mutable_enrichment()->mutable_animal() = ref_of(seal);
    call.mutable_enrichment()->set_day(day);
    return shift.must_call(call).enrichment();
  }

  void train(RecordId cue, Day day, std::uint32_t trials, std::uint32_t successes) {
    proto::TrainingSession session;
    *session.mutable_animal() = ref_of(seal);
    *session.mutable_cue() = ref_of(cue);
    session.set_day(day);
    session.set_trials(trials);
    session.set_successes(successes);
    shift.log(Kind::kTrainingSession, session);
  }
};

}  // namespace

TEST_CASE("the choice of enrichment knows gaps, inspections, responses and the week's plan", "[call]") {
  Seal centre;
  const RecordId ball = centre.enricher("ball", 3), jar = centre.enricher("jar", 0), rope = centre.enricher("rope", 0);
  centre.use(ball, kMonday, 4);
  centre.use(jar, kMonday - 5, 2);
  centre.use(jar, kMonday - 3, 3);
  proto::Inspection inspection;
  *inspection.mutable_enricher() = ref_of(rope);
  inspection.set_day(kMonday - 1);
  inspection.set_safe(false);
  inspection.set_findings("frayed");
  centre.shift.log(Kind::kInspection, inspection);
  proto::EnrichmentPlan plan;
  *plan.mutable_animal() = ref_of(centre.seal);
  plan.set_first_day(kMonday - 30);
  plan.set_times_per_week(4);
  plan.set_gap_days(2);  // The ball's own gap of three is longer.
  centre.shift.log(Kind::kEnrichmentPlan, plan);

  const proto::EnrichmentReply reply = centre.enrichment(kMonday + 1);
  REQUIRE(reply.choices_size() == 3);
  CHECK(reply.choices(0).name() == "jar");
  CHECK(reply.choices(0).response_thousandths() == 2500);
  CHECK(reply.choices(0).caution() == "small parts");
  CHECK(reply.choices(1).state() == proto::ENRICHER_STATE_TOO_SOON);
  CHECK(reply.choices(1).ready_day() == kMonday + 3);
  CHECK(reply.choices(2).state() == proto::ENRICHER_STATE_UNSAFE);
  CHECK(reply.uses() == 3);
  CHECK(reply.uses_this_week() == 1);
  CHECK(reply.planned_per_week() == 4);
  // Counts 1 and 2: -(1/3 ln 1/3 + 2/3 ln 2/3).
  CHECK(reply.variety_millionths() == 636'514);

  // Looked at again and found safe.
  inspection.set_day(kMonday + 1);
  inspection.set_safe(true);
  inspection.clear_findings();
  centre.shift.log(Kind::kInspection, inspection);
  CHECK(centre.enrichment(kMonday + 1).choices(0).name() == "rope");
}

// 81 of 263: 0.2553 to 0.3662; Newcombe 1998, Stat. Med. 17:857-872, table I.
TEST_CASE("training is told with its interval and its trend, and its food is counted", "[call]") {
  Seal centre;
  proto::Cue target;
  target.set_name("target");
  const RecordId cue = centre.shift.log(Kind::kCue, target);
  centre.train(cue, kMonday - 40, 200, 50);
  centre.train(cue, kMonday - 30, 63, 31);
  proto::Call call;
  *call.mutable_training()->mutable_animal() = ref_of(centre.seal);
  call.mutable_training()->set_first_day(kMonday - 60);
  call.mutable_training()->set_last_day(kMonday);
  proto::CueFigures figures = centre.shift.must_call(call).training().cues(0);
  CHECK(figures.trials() == 263);
  CHECK(figures.low_ppm() == 255'289);
  CHECK(figures.high_ppm() == 366'210);
  CHECK_FALSE(figures.has_trend_z_thousandths());

  for (std::uint32_t i = 0; i < 4; ++i) centre.train(cue, static_cast<Day>(kMonday - 22 + 7 * static_cast<Day>(i)), 10, 6 + i);
  const RecordId herring = centre.shift.food("herring");
  proto::Meal meal;
  *meal.mutable_animal() = ref_of(centre.seal);
  meal.set_day(kMonday);
  meal.set_purpose(proto::PURPOSE_TRAINING);
  proto::Portion portion;
  *portion.mutable_meal() = ref_of(centre.shift.log(Kind::kMeal, meal));
  *portion.mutable_food() = ref_of(herring);
  portion.set_offered_mg(200'000);
  centre.shift.log(Kind::kPortion, portion);
  const proto::TrainingReply reply = centre.shift.must_call(call).training();
  CHECK(reply.cues(0).sessions() == 6);
  CHECK(reply.cues(0).trend_z_thousandths() > 1960);
  CHECK(reply.cues(0).slope_ppm_per_week() > 60'000);  // From 25 % to 90 % in six weeks.
  CHECK(reply.food_mg() == 200'000);
}

// 12 of 40 scans with 4 in which it could not be seen is 12 of 36, 33.3 %.
TEST_CASE("moments at which an animal could not be seen are no part of what it did", "[call]") {
  Seal centre;
  proto::Code code;
  code.set_topic(proto::TOPIC_BEHAVIOUR);
  code.set_code("swim");
  code.set_meaning("moves through the water by its own effort");
  centre.shift.log(Kind::kCode, code);
  proto::Scan scan;
  *scan.mutable_animal() = ref_of(centre.seal);
  scan.set_day(kMonday);
  scan.set_every_s(60);
  scan.set_not_visible(4);
  for (const auto& [word, count] : {std::pair<const char*, std::uint32_t>{"swim", 12}, {"rest", 24}}) {
    proto::ScanCount& counted = *scan.add_counts();
    counted.set_code(word);
    counted.set_scans(count);
  }
  centre.shift.log(Kind::kScan, scan);
  proto::Call call;
  *call.mutable_scan()->mutable_animal() = ref_of(centre.seal);
  call.mutable_scan()->set_first_day(kMonday);
  call.mutable_scan()->set_last_day(kMonday);
  const proto::ScanReply reply = centre.shift.must_call(call).scan();
  CHECK(reply.visible() == 36);
  CHECK(reply.not_visible() == 4);
  REQUIRE(reply.shares_size() == 2);
  CHECK(reply.shares(0).code() == "rest");
  CHECK(reply.shares(1).share_ppm() == 333'333);
  // Wilson, 12 of 36: computed by an independent script.
  CHECK(reply.shares(1).low_ppm() == 202'146);
  CHECK(reply.shares(1).high_ppm() == 496'660);
  CHECK(reply.shares(1).meaning() == code.meaning());
}
