// Coliform counts of a pool and the rule of averaging three samples.
//
// Rule: 9 CFR 3.106, annual text of 2015: if a sample exceeds the limit, "two subsequent samples may be
// taken at 48-hour intervals and averaged with the first sample. If such average count does not fall below"
// the limit, the water is unsatisfactory. So a first sample equal to the limit does not exceed it, but an
// average equal to it fails. The limit itself is data: it comes in with its source.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace wrackline {

struct ColiformRule {
  std::uint32_t limit_mpn = 0;  // Most probable number in 100 ml.
  std::uint32_t further_samples = 0;
  std::int64_t interval_ms = 0;  // Between samples.
  std::string source;
};

struct ColiformSample {
  std::int64_t taken_ms = 0;  // Since 1970, UTC.
  std::uint32_t mpn =
      0;  // In 100 ml. A count told as "less than" goes in as that number, which is the safe side.
  bool more_than = false;  // Told as "more than": the true count is above mpn, nobody knows how far.
};

enum class ColiformVerdict : std::uint8_t {
  kMeets,
  kFurtherSamplesDue,  // The first exceeds the limit, and not all further samples are in.
  kUnsatisfactory,     // The average does not fall below the limit.
  kCannotTell,  // It turns on how far a "more than" is above its number: have it diluted and counted again.
};

struct ColiformJudgement {
  ColiformVerdict verdict = ColiformVerdict::kCannotTell;
  // The mean of all samples, once all are in. Where one is a "more than", the true mean is above this.
  std::optional<std::int64_t> mean_mpn_thousandths;
  // From each sample to the next, less the rule's interval. How far off 48 hours may be, the rule does not
  // say; people judge it.
  std::vector<std::int64_t> interval_off_ms;
};

// The first sample, then those taken because it exceeded the limit, in the order of taking.
// Errors: kInvalid for no sample, for more than the rule takes, for samples after a first one that did not
// exceed (each of those is the first of its own), for samples not in the order of time, and for a rule
// without a limit, an interval or a source.
Result<ColiformJudgement> judge_coliform(const ColiformRule& rule,
                                         const std::vector<ColiformSample>& samples);

}  // namespace wrackline
