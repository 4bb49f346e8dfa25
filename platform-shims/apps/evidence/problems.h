// Sentences against an evidence file: fit to be printed, and not more than anybody reads.
#pragma once

#include <string>

#include "evidence_check.h"
#include "text/visible.h"

namespace wrackline::evidence {

inline constexpr std::size_t kProblemsMax = 100;

inline void put_problem(Verdict& verdict, const std::string& sentence) {
  if (verdict.problems.size() < kProblemsMax) verdict.problems.push_back(visible(sentence));
}

}  // namespace wrackline::evidence
