#include "water/coliform.h"

#include "base/rounding.h"

namespace wrackline {
namespace {

Unexpected refuse(const char* why) {
  return fail(ErrorCode::kInvalid, std::string("judging coliform counts: ") + why);
}

}  // namespace

Result<ColiformJudgement> judge_coliform(const ColiformRule& rule,
                                         const std::vector<ColiformSample>& samples) {
  if (rule.limit_mpn == 0 || rule.interval_ms <= 0 || rule.source.empty()) {
    return refuse("the rule has no limit, no interval or no source; complete it");
  }
  if (samples.empty()) return refuse("there is no sample");
  if (samples.size() - 1 > rule.further_samples) {
    return refuse("there are more samples than the rule averages; begin anew with the latest as a first one");
  }
  const ColiformSample& first = samples.front();
  const bool exceeds = first.mpn > rule.limit_mpn || (first.more_than && first.mpn == rule.limit_mpn);
  if (!exceeds && samples.size() > 1) {
    return refuse(
        "the first sample does not exceed the limit, so nothing is averaged; judge each later one as a "
        "first one");
  }

  ColiformJudgement out;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    const Int128 apart_ms = Int128(samples[i].taken_ms) - samples[i - 1].taken_ms;
    const std::optional<std::int64_t> off_ms = fit<std::int64_t>(apart_ms - rule.interval_ms);
    if (apart_ms <= 0 || !off_ms)
      return refuse("the samples are not in the order they were taken; sort them");
    out.interval_off_ms.push_back(*off_ms);
  }
  if (!exceeds) {
    out.verdict = first.more_than ? ColiformVerdict::kCannotTell : ColiformVerdict::kMeets;
    return out;
  }
  if (samples.size() - 1 < rule.further_samples) {
    out.verdict = ColiformVerdict::kFurtherSamplesDue;
    return out;
  }

  Int128 sum = 0;
  bool more_than = false;
  for (const ColiformSample& sample : samples) {
    sum += sample.mpn;
    more_than = more_than || sample.more_than;
  }
  const Int128 count = static_cast<Int128>(samples.size());
  out.mean_mpn_thousandths = fit<std::int64_t>(divide_rounded(sum * 1000, count));
  // The sums are compared, not the rounded mean: 999.9999 is below 1000.
  if (sum >= count * rule.limit_mpn) {
    out.verdict = ColiformVerdict::kUnsatisfactory;
  } else {
    out.verdict = more_than ? ColiformVerdict::kCannotTell : ColiformVerdict::kMeets;
  }
  return out;
}

}  // namespace wrackline
