// Testing the rules of a kind: one sound record, and one slip at a time.
#pragma once

#include <string>
#include <vector>

#include "base/ids.h"
#include "model/kinds.h"

namespace wrackline {

// Gives the verdict of the kind's rules on the message.
template <typename Message>
std::vector<std::string> judge(Kind kind, const Message& message) {
  Problems problems;
  const std::string fields = message.SerializeAsString();
  find_kind(static_cast<std::uint32_t>(kind))->validate(fields, problems);
  std::vector<std::string> sentences;
  for (const Problem& problem : problems) sentences.push_back(sentence_of(problem));
  return sentences;
}

// True when the rules say exactly one sentence, and it holds `words`.
template <typename Message>
bool only_problem(Kind kind, const Message& message, const char* words) {
  const std::vector<std::string> problems = judge(kind, message);
  return problems.size() == 1 && problems[0].find(words) != std::string::npos;
}

template <typename Ref>
void set_ref(Ref* ref, std::uint64_t log, std::uint32_t seq) {
  ref->set_log(log);
  ref->set_seq(seq);
}

}  // namespace wrackline
