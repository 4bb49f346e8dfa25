// A sensible call for each question that proto/call.proto knows, about records that are there: so that one whose cost grows
// with what is held shows in the growth bench before anybody waits for it.
#pragma once

#include <call.pb.h>

#include <string>
#include <vector>

#include "base/ids.h"

namespace wrackline::bench {

// The records and days that the questions are about.
struct Subjects {
  RecordId animal, person, food, other_food, pool, order, hold, device;
  RecordId double_meal;  // One of two with an equal key.
  RecordId edited;       // A record that was edited.
  Day last_day = 0;
};

struct Question {
  proto::Call call;
  std::string name;
  // Goes through everything by what it is asked, so it takes longer with what is held.
  bool is_of_everything = false;
};
std::vector<Question> every_question(const Subjects& about);

// Calls that write, sign somebody in, or speak with another replica: no questions.
bool is_no_question(proto::Call::WhatCase what);

// All that the message Call can hold, read from its own parser.
std::vector<proto::Call::WhatCase> every_call();

}  // namespace wrackline::bench
