// The manual of wrackline-evidence.
#include "evidence_application.h"
#include "write_manual.h"

int main(int argc, char** argv) {
  CLI::App app(wrackline::evidence::kAbout, "wrackline-evidence");
  wrackline::evidence::Arguments arguments;
  define_application(app, arguments);
  return wrackline::manual::write_manual(app, argc, argv);
}
