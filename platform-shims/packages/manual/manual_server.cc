// The manual of wrackline-server.
#include "server_application.h"
#include "write_manual.h"

int main(int argc, char** argv) {
  CLI::App app(wrackline::kAbout, "wrackline-server");
  wrackline::Action chosen;
  wrackline::define_application(app, chosen);
  return wrackline::manual::write_manual(app, argc, argv);
}
