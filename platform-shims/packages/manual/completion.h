// A script by which bash completes a program's commands and options.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace wrackline::manual {

std::string bash_completion(const CLI::App& program);

}  // namespace wrackline::manual
