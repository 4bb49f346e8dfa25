// This file says what wrackline-server understands, and how its commands tell their end.
#include "server_application.h"

#include <unistd.h>

#include <iostream>

namespace wrackline {

void define_application(CLI::App& app, Action& chosen) {
  app.require_subcommand(1);
  app.footer("Exit codes: 0 done; 1 failed (the message says what to do), or verified and found bad; 2 wrong usage");
  add_hub_commands(app, chosen);
  add_code_command(app, chosen);
  add_app_commands(app, chosen);
  add_device_commands(app, chosen);
  add_copy_commands(app, chosen);
  add_rekey_command(app, chosen);
  add_set_pin_command(app, chosen);
  add_retention_command(app, chosen);
}

int report(const Error& error) {
  end_progress();
  std::cerr << "wrackline-server: " << error.message << '\n';
  return kExitFailed;
}

Progress progress_on_terminal() {
  if (!::isatty(STDERR_FILENO)) return {};
  return [](const char* doing, std::uint64_t done, std::uint64_t all) {
    std::cerr << "\r\x1b[K" << doing;
    if (all > 0) std::cerr << ": " << done * 100 / all << " %";
    std::cerr << std::flush;
  };
}

void end_progress() {
  if (::isatty(STDERR_FILENO)) std::cerr << "\r\x1b[K";
}

}  // namespace wrackline
