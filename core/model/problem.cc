#include "model/problem.h"

namespace wrackline {
namespace {

struct ProblemRow {
  std::string_view name, sentence;
};

constexpr ProblemRow kProblemRows[] = {
#define WRACKLINE_PROBLEM(code, name, sentence) {name, sentence},
#include "model/problem_codes.inc"
#undef WRACKLINE_PROBLEM
};

}  // namespace

std::string_view name_of(ProblemCode code) { return kProblemRows[static_cast<std::size_t>(code)].name; }

std::string sentence_of(const Problem& problem) {
  std::string out(kProblemRows[static_cast<std::size_t>(problem.code)].sentence);
  // From the last place to the first, so that a parameter that has a "{0}" in it is not filled in itself.
  for (std::size_t i = problem.parameters.size(); i-- > 0;) {
    const std::string place = "{" + std::to_string(i) + "}";
    const std::size_t at = out.find(place);
    if (at != std::string::npos) out.replace(at, place.size(), problem.parameters[i]);
  }
  return out;
}

std::string sentences_of(const Problems& problems) {
  std::string out;
  for (const Problem& problem : problems) {
    if (!out.empty()) out += "; ";
    out += sentence_of(problem);
  }
  return out;
}

}  // namespace wrackline
