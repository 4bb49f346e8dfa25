// The law's rule on coliforms against the cases that follow from its words.
//
// 9 CFR 3.106, annual text of 2015: no more than 1,000 MPN in 100 ml; if exceeded, "two subsequent samples
// may be taken at 48-hour intervals and averaged with the first sample. If such average count does not fall
// below 1,000 MPN", the water is unsatisfactory. The averages are arithmetic.
#include <catch2/catch.hpp>

#include "water/coliform.h"

using namespace wrackline;

namespace {

constexpr std::int64_t kHourMs = 3'600'000;

const ColiformRule kLaw = {1000, 2, 48 * kHourMs, "9 CFR 3.106, 2015"};

ColiformJudgement judged(const std::vector<std::uint32_t>& mpn) {
  std::vector<ColiformSample> samples;
  for (std::size_t i = 0; i < mpn.size(); ++i) {
    samples.push_back({static_cast<std::int64_t>(i) * 48 * kHourMs, mpn[i], false});
  }
  const Result<ColiformJudgement> judgement = judge_coliform(kLaw, samples);
  REQUIRE(judgement);
  return *judgement;
}

}  // namespace

TEST_CASE("1600, 700 and 500 average 933.3 and pass", "[reference]") {
  const ColiformJudgement judgement = judged({1600, 700, 500});
  CHECK(judgement.verdict == ColiformVerdict::kMeets);
  CHECK(judgement.mean_mpn_thousandths == 933'333);
}

TEST_CASE("1600, 900 and 600 average 1033.3 and fail", "[reference]") {
  const ColiformJudgement judgement = judged({1600, 900, 600});
  CHECK(judgement.verdict == ColiformVerdict::kUnsatisfactory);
  CHECK(judgement.mean_mpn_thousandths == 1'033'333);
}

TEST_CASE("an average of exactly 1000 does not fall below it and fails", "[reference]") {
  const ColiformJudgement judgement = judged({1600, 900, 500});
  CHECK(judgement.mean_mpn_thousandths == 1'000'000);
  CHECK(judgement.verdict == ColiformVerdict::kUnsatisfactory);
}

TEST_CASE("a first sample of exactly 1000 does not exceed it and passes", "[reference]") {
  CHECK(judged({1000}).verdict == ColiformVerdict::kMeets);
  CHECK(judged({1001}).verdict == ColiformVerdict::kFurtherSamplesDue);
}
