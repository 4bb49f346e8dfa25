// Goal: no question is added to the core without a row in the growth bench, where one that scans would show. Method: all that
// the message Call can hold, against the rows.
#include "bench/every_question.h"

#include <catch2/catch.hpp>

#include <algorithm>

#include "support/must.h"

using namespace wrackline;
using namespace wrackline::bench;

TEST_CASE("each call of the proto has a row in the growth bench, or writes", "[call]") {
  const std::vector<proto::Call::WhatCase> calls = every_call();
  const std::vector<Question> questions = every_question({});
  CHECK(calls.size() >= 41);  // So many calls existed when this was written.
  for (const proto::Call::WhatCase what : calls) {
    CAPTURE(static_cast<int>(what));
    const bool has_row = std::any_of(questions.begin(), questions.end(), [what](const Question& q) { return q.call.what_case() == what; });
    CHECK(has_row != is_no_question(what));
  }
}
