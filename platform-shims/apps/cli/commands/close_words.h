// Whether what was closed of a day is what stands, in words.
#pragma once

#include <string>

#include "cli/client.h"

namespace wrackline::cli {

// Says it as a clause: "what was closed is here as it was closed".
std::string close_standing_text(CloseStanding standing);

}  // namespace wrackline::cli
