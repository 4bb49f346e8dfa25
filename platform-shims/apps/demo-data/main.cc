// wrackline-demo-data: fills a directory with an invented centre; see demo_centre.h.
#include <sys/stat.h>

#include <CLI/CLI.hpp>
#include <iostream>

#include "demo_centre.h"

int main(int argc, char** argv) {
  ::umask(077);
  CLI::App app{
      "Makes an invented coastal rescue centre with years of records, to look around in. Everything in it is "
      "made up."};
  app.name("wrackline-demo-data");
  wrackline::demo::CentreOptions options;
  std::string directory;
  app.add_option("directory", directory, "Where; must not exist or be empty")->required();
  app.add_option("--seed", options.seed, "Another seed makes another centre")->capture_default_str();
  app.add_option("--days", options.days, "How many days, up to 2026-10-31")->capture_default_str();
  CLI11_PARSE(app, argc, argv);
  const auto facts = wrackline::demo::make_centre(directory, options);
  if (!facts) {
    std::cerr << "wrackline-demo-data: " << facts.error().message << "\n";
    return 1;
  }
  std::cout << facts->records << " records, " << facts->changes << " changes, digest " << facts->digest
            << "\n"
            << "To look around:  wrack --dir " << directory << "/desk --as \"Tove Holm\" here\n";
  return 0;
}
