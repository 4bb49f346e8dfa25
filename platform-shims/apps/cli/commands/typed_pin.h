// Reading a PIN: typed on the terminal without showing it, or with --pin-stdin a line of standard input; never from the command
// line, where every process could read it.
#pragma once

#include <string>

#include "cli/client.h"

namespace wrackline::cli {

// Throws Stop (usage) where there is neither a terminal nor --pin-stdin.
std::string read_pin(const Options& options, const std::string& question);

}  // namespace wrackline::cli
