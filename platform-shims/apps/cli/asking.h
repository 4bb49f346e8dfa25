// "Really?": the core's questions about an entry, in words, and the person's answer.
#pragma once

#include <string>

#include "cli/client.h"
#include "cli/names.h"

namespace wrackline::cli {

// "portion: left 120 kg is above 50 kg, the limit that Tove Holm set at 2026-05-01 10:20".
std::string question_text(const Question& question, Client& client, Names& names);

// Puts the confirmation in a record into words: the question and the reason.
std::string confirmation_text(const Confirmation& confirmation, Client& client, Names& names);

// Shows the questions of a refused call and asks for a yes; the confirmation goes into the call. Throws Stop
// (refused, "unconfirmed") when there is none: nothing was written then.
void answer_questions(Client& client, const Failure& failure, Call& call);

}  // namespace wrackline::cli
