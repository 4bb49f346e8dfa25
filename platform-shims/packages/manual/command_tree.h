// The manual pages and the completion ask this of a program's commands.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace wrackline::manual {

// "wrack report animal", joined by `between`.
std::string path_of(const CLI::App& command, const std::string& between);

// In the order in which the program defines them; those its help hides are left out.
std::vector<const CLI::App*> commands_of(const CLI::App& command);
std::vector<const CLI::Option*> arguments_of(const CLI::App& command);  // Told by their place.
std::vector<const CLI::Option*> options_of(const CLI::App& command);    // Told by their name.

// Options of the commands above it that may stand behind this one too.
std::vector<const CLI::Option*> options_from_above(const CLI::App& command);

// All spellings: "-h", "--help".
std::vector<std::string> names_of(const CLI::Option& option);
bool takes_value(const CLI::Option& option);

}  // namespace wrackline::manual
