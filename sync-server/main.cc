// wrackline-server: makes a hub's directory, lets devices in, serves them. See README.md.
#include <sys/stat.h>

#include <iostream>

#include "server_application.h"

namespace wrackline {

namespace {

int run(int argc, char** argv) {
  CLI::App app(kAbout, "wrackline-server");
  Action chosen;
  define_application(app, chosen);
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
