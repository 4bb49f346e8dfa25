// The command line of wrackline-server as a tree of commands and options. main() reads what was typed with it; the manual
// pages and the completion are made from it (platform-shims/packages/manual).
#pragma once

#include "server_command.h"

namespace wrackline {

inline constexpr char kAbout[] =
    "The hub of a facility's husbandry records: devices bring their changes here and take the others'.";

// `app` keeps a reference to `chosen`, where the command is after its parse().
void define_application(CLI::App& app, Action& chosen);

}  // namespace wrackline
