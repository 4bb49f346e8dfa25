// Figures of an intake day as text and as JSON, shared by every command that shows them.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "client.h"
#include "json.h"

namespace wrackline::cli {

// "" where there is no figure. Rounded half away from zero to grams, kilocalories and thousandths of a part: a table
// is read, not computed with; --json is exact.
std::string mass(bool has, std::int64_t mg);
std::string energy(bool has, std::int64_t cal);
std::string percent(bool has, std::int64_t ppm);

// Exact, as one JSON object.
void day_json(Json& json, const IntakeDay& d);

// Whoever answers: this replica or the hub's.
using Ask = std::function<Reply(const Call&)>;

// What of the review queue touches the figures: a meal told twice counts twice until somebody folds it, and a
// value in disagreement is one of several. Said beside the table, since the table cannot show it.
std::vector<std::string> doubts(const IntakeCall& intake, const Ask& ask);

}  // namespace wrackline::cli
