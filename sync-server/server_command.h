// This file says what the commands of wrackline-server share: how one is chosen, and how its end is told. Exit codes: 0
// done, 1 failed (or verified and found bad), 2 wrong usage, 3 whole by its own word, but nobody has vouched for it.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <string>

#include "base/result.h"
#include "progress.h"

namespace wrackline {

inline constexpr int kExitFailed = 1;
inline constexpr int kExitUsage = 2;
inline constexpr int kExitUnvouched = 3;

// The command the line asked for; run by main() once the whole line is understood.
using Action = std::function<int()>;

void add_hub_commands(CLI::App& app, Action& chosen);       // command_hub.cc: init serve new-certificate
void add_app_commands(CLI::App& app, Action& chosen);       // command_app.cc: app-key sign-app pin-app show-app
void add_code_command(CLI::App& app, Action& chosen);       // command_code.cc
void add_copy_commands(CLI::App& app, Action& chosen);      // command_copies.cc: backup verify restore
void add_device_commands(CLI::App& app, Action& chosen);    // command_devices.cc: devices revoke
void add_rekey_command(CLI::App& app, Action& chosen);      // command_rekey.cc
void add_set_pin_command(CLI::App& app, Action& chosen);    // command_set_pin.cc
void add_retention_command(CLI::App& app, Action& chosen);  // command_retention.cc

// Says on standard error what failed; the exit code.
int report(const Error& error);

// On a terminal one line that renews itself; in a log nothing.
Progress progress_on_terminal();
void end_progress();

}  // namespace wrackline
