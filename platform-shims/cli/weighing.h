// A portion as it is typed: "herring=1.2kg,left:0g" or "herring=gross:1500g,tare:300g".
#pragma once

#include <cstdint>
#include <string>

#include "client.h"
#include "names.h"

namespace wrackline::cli {

// The new portion of the meal that is record `meal` of the same LogCall. Throws Stop.
NewRecord portion_typed(const std::string& text, std::uint32_t meal, Client& client, Names& names);

}  // namespace wrackline::cli
