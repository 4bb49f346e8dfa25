// The manual of wrack.
#include "cli/wrack_application.h"
#include "write_manual.h"

int main(int argc, char** argv) {
  CLI::App app(wrackline::cli::kAbout, "wrack");
  wrackline::cli::Options options;
  wrackline::cli::Action chosen;
  define_application(app, options, chosen);
  return wrackline::manual::write_manual(app, argc, argv);
}
