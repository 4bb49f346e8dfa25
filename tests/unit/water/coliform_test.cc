// The rule of three coliform samples: order, times, "more than" and bad input. The law's cases are in
// tests/reference.
#include "water/coliform.h"

#include <catch2/catch.hpp>

using namespace wrackline;

namespace {

constexpr std::int64_t kHourMs = 3'600'000;

const ColiformRule kRule = {1000, 2, 48 * kHourMs, "a rule"};

ColiformJudgement judged(const std::vector<ColiformSample>& samples) {
  const Result<ColiformJudgement> judgement = judge_coliform(kRule, samples);
  REQUIRE(judgement);
  return *judgement;
}

}  // namespace

TEST_CASE("until all further samples are in, nothing is averaged", "[water]") {
  const ColiformJudgement waiting = judged({{0, 1600, false}, {48 * kHourMs, 100, false}});
  CHECK(waiting.verdict == ColiformVerdict::kFurtherSamplesDue);
  CHECK_FALSE(waiting.mean_mpn_thousandths);
}

TEST_CASE("a single sample that does not exceed is enough", "[water]") {
  const ColiformJudgement one = judged({{0, 0, false}});
  CHECK(one.verdict == ColiformVerdict::kMeets);
  CHECK_FALSE(one.mean_mpn_thousandths);
}

TEST_CASE("an average a third of a unit below the limit is below it", "[water]") {
  const ColiformJudgement close = judged({{0, 1600, false}, {1, 900, false}, {2, 499, false}});
  CHECK(close.mean_mpn_thousandths == 999'667);
  CHECK(close.verdict == ColiformVerdict::kMeets);
}

TEST_CASE("how far the samples are off their interval is told, not judged", "[water]") {
  const ColiformJudgement judgement =
      judged({{0, 1600, false}, {50 * kHourMs, 10, false}, {97 * kHourMs, 10, false}});
  CHECK(judgement.interval_off_ms == std::vector<std::int64_t>{2 * kHourMs, -kHourMs});
  CHECK(judgement.verdict == ColiformVerdict::kMeets);
}

TEST_CASE("a count told as more than its number is not taken for it", "[water]") {
  // More than 1000 exceeds 1000; more than 800 may or may not.
  CHECK(judged({{0, 1000, true}}).verdict == ColiformVerdict::kFurtherSamplesDue);
  CHECK(judged({{0, 800, true}}).verdict == ColiformVerdict::kCannotTell);
  // More than 1600, and 700 and 500: the mean is more than 933, which tells nothing.
  const ColiformJudgement open = judged({{0, 1600, true}, {1, 700, false}, {2, 500, false}});
  CHECK(open.verdict == ColiformVerdict::kCannotTell);
  CHECK(open.mean_mpn_thousandths == 933'333);
  // Whatever it is, it is too much.
  CHECK(judged({{0, 1600, true}, {1, 900, false}, {2, 600, false}}).verdict ==
        ColiformVerdict::kUnsatisfactory);
}

TEST_CASE("samples the rule does not know are refused", "[water]") {
  CHECK_FALSE(judge_coliform(kRule, {}));
  CHECK_FALSE(judge_coliform(kRule, {{0, 1600, false}, {1, 1, false}, {2, 1, false}, {3, 1, false}}));
  // A later bad sample must not hide behind a good first one.
  CHECK_FALSE(judge_coliform(kRule, {{0, 800, false}, {1, 5000, false}}));
  CHECK_FALSE(judge_coliform(kRule, {{5, 1600, false}, {5, 1, false}}));
  CHECK_FALSE(judge_coliform(kRule, {{5, 1600, false}, {4, 1, false}}));
  CHECK_FALSE(judge_coliform(kRule, {{std::numeric_limits<std::int64_t>::min(), 1600, false},
                                     {std::numeric_limits<std::int64_t>::max(), 1, false}}));
}

TEST_CASE("a rule without limit, interval or source is refused", "[water]") {
  for (const ColiformRule& rule :
       {ColiformRule{0, 2, 1, "a"}, ColiformRule{1000, 2, 0, "a"}, ColiformRule{1000, 2, 1, ""}}) {
    CHECK(judge_coliform(rule, {{0, 10, false}}).error().code == ErrorCode::kInvalid);
  }
}
