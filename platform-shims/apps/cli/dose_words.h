// The findings of the guard of doses, in words.
#pragma once

#include <string>

#include "cli/client.h"
#include "cli/names.h"

namespace wrackline::cli {

std::string finding_text(const DoseFinding& finding, Client& client, Names& names);

}  // namespace wrackline::cli
