// The command line of wrack as a tree of commands and options. main() reads what was typed with it; the manual pages and the
// completion are made from it (platform-shims/packages/manual), so that neither can differ from what the program takes.
#pragma once

#include "cli/command.h"

namespace wrackline::cli {

inline constexpr char kAbout[] = "Wrackline's command line: what is here, what was done, what must be looked at.";

// `app` keeps references to both: they outlive its parse(). The chosen command is in `chosen` afterwards.
void define_application(CLI::App& app, Options& options, Action& chosen);

}  // namespace wrackline::cli
