// Figures of an intake day as text and as JSON, shared by every command that shows them.
#pragma once

#include <cstdint>
#include <string>

#include "cli/client.h"
#include "text/json.h"

namespace wrackline::cli {

// "" where there is no figure. Rounded half away from zero to grams, kilocalories and thousandths of a part: a table
// is read, not computed with; --json is exact.
std::string mass(bool has, std::int64_t mg);
std::string energy(bool has, std::int64_t cal);
std::string percent(bool has, std::int64_t ppm);

// Exact, as one JSON object.
void day_json(Json& json, const IntakeDay& d);

}  // namespace wrackline::cli
