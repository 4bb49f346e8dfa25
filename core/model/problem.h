// A rule that a record breaks, for apps to show beside the field and for people to read.
//
// The code is for apps and never changes its meaning; problem_codes.inc has all of them, each with its English sentence. The
// sentence says what is wrong and how to mend it, in a keeper's words. It names fields and never their contents: sentences reach
// logs and error replies, and records do not belong there. One exception: of notation that is misread
// (dosing/risky_notation.h) the few signs in question, so that they are found.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace wrackline {

enum class ProblemCode : std::uint16_t {
#define WRACKLINE_PROBLEM(code, name, sentence) code,
#include "model/problem_codes.inc"
#undef WRACKLINE_PROBLEM
};

struct Problem {
  ProblemCode code;
  std::uint32_t field = 0;              // The number of the field to look at first; 0: none in particular.
  std::vector<std::string> parameters;  // They take the places {0}, {1} in the sentence.
};
using Problems = std::vector<Problem>;

// The code as apps get it: "diet_has_no_lines".
std::string_view name_of(ProblemCode code);
std::string sentence_of(const Problem& problem);
// All sentences, with "; " between them.
std::string sentences_of(const Problems& problems);

}  // namespace wrackline
