// wrackline-server: makes a hub's directory, lets devices in, serves them. See README.md.
#include <sys/stat.h>
#include <unistd.h>

#include <iostream>

#include "command.h"

namespace wrackline {

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

namespace {

int run(int argc, char** argv) {
  CLI::App app{
      "The hub of a facility's husbandry records: devices bring their changes here and take the others'."};
  app.name("wrackline-server");
  app.require_subcommand(1);
  Action chosen;
  add_hub_commands(app, chosen);
  add_code_command(app, chosen);
  add_device_commands(app, chosen);
  add_copy_commands(app, chosen);
  add_rekey_command(app, chosen);
  add_retention_command(app, chosen);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : kExitUsage;  // 0: help was asked for.
  }
  return chosen();
}

}  // namespace
}  // namespace wrackline

int main(int argc, char** argv) {
  ::umask(077);  // Everything made here is the hub's alone; SQLite asks the umask.
  try {
    return wrackline::run(argc, argv);
  } catch (const std::exception& fault) {
    std::cerr << "wrackline-server: " << fault.what() << "; what was answered before is kept\n";
    return wrackline::kExitFailed;
  }
}
