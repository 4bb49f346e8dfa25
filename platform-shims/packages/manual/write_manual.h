// This is the whole of a program that makes another's manual: DIRECTORY VERSION DATE are its arguments. It writes the
// pages into DIRECTORY/man1 and the completion into DIRECTORY/completions.
#pragma once

#include <CLI/CLI.hpp>

namespace wrackline::manual {

// The exit code.
int write_manual(const CLI::App& program, int argc, char** argv);

}  // namespace wrackline::manual
