// A pool's water in words, rows and JSON, for every command that shows it. Figures are the core's.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "cli/client.h"
#include "cli/names.h"
#include "records.pb.h"
#include "text/json.h"

namespace wrackline::cli {

std::string parameter_word(Parameter parameter);  // "oxygen_saturation", for programs.
std::string parameter_text(Parameter parameter);  // "oxygen saturation"
std::string reading_text(Parameter parameter, std::int64_t value);

std::string derived_text(Derived derived);  // "un-ionised ammonia"

const char* judgement_word(Judgement judgement);  // "inside", "below", "above" or "".
std::string judgement_text(Judgement judgement, bool unverified);

// The time of a reading, or its day where it has none.
std::string water_time(Client& client, Day day, WallMs happened_ms);

// Limits that hold for a pool, its own first; all there are where none is named.
using LimitOfWater = std::pair<RecordRef, WaterLimit>;
std::vector<LimitOfWater> limits_of(Client& client, const std::optional<RecordRef>& pool);
const std::vector<std::string>& limit_titles();
std::vector<std::string> limit_row(const LimitOfWater& row, Names& names);

// Rounded to what a person reads; --json is exact. The last cell of a row points to one of `formulas`.
inline const std::vector<std::string> kDerivedTitles = {"AT", "DERIVED", ">FIGURE", "", "BY"};
struct DerivedTable {
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> formulas;  // A sentence each.
};
DerivedTable derived_table(const WaterReply& reply, Client& client);

// Figures that a formula refused, with the reason.
std::vector<std::string> refused_sentences(const WaterReply& reply, Client& client);
std::vector<std::string> overdue_sentences(const WaterReply& reply, Client& client);

// The members `readings`, `derived`, `refused` and `overdue` of the object that is open. Exact.
void water_json(Json& json, const WaterReply& reply);

}  // namespace wrackline::cli
