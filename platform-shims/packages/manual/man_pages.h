// Manual pages (roff, man macros) from a program's commands: one for the program, one for each command. What is under a
// command ("report animal") stands in that command's page.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace wrackline::manual {

struct Release {
  std::string version;
  std::string date;  // 2026-11-26
};

struct Page {
  std::string file;  // wrack-report.1
  std::string text;
};

std::vector<Page> man_pages(const CLI::App& program, const Release& release);

}  // namespace wrackline::manual
