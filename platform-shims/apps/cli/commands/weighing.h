// A portion as it is typed: "herring=1.2kg,left:0g" or "herring=gross:1500g,tare:300g".
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "cli/client.h"
#include "cli/names.h"
#include "cli/record_fields.h"

namespace wrackline::cli {

// Splits the text behind the food into its parts, by name.
std::vector<Assignment> split_weighing(const std::string& text);

// The new portion of the meal that is record `meal` of the same LogCall; from its message, or as typed. Throws Stop.
NewRecord portion_record(const google::protobuf::MessageLite& portion, std::uint32_t meal);
NewRecord portion_typed(const std::string& text, std::uint32_t meal, Client& client, Names& names);

}  // namespace wrackline::cli
