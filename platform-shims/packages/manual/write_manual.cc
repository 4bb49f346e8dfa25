#include "write_manual.h"

#include <filesystem>
#include <fstream>
#include <iostream>

#include "completion.h"
#include "man_pages.h"

namespace wrackline::manual {
namespace {

namespace fs = std::filesystem;

bool write(const fs::path& path, const std::string& text) {
  std::ofstream out(path, std::ios::binary);
  out << text;
  out.close();
  if (!out) std::cerr << "making the manual: cannot write " << path.string() << "; see whether the disk is full\n";
  return static_cast<bool>(out);
}

}  // namespace

int write_manual(const CLI::App& program, int argc, char** argv) {
  if (argc != 4) {
    std::cerr << "usage: " << argv[0] << " DIRECTORY VERSION DATE\n";
    return 2;
  }
  const fs::path directory = argv[1];
  fs::create_directories(directory / "man1");
  fs::create_directories(directory / "completions");
  for (const Page& page : man_pages(program, {argv[2], argv[3]})) {
    if (!write(directory / "man1" / page.file, page.text)) return 1;
  }
  return write(directory / "completions" / program.get_name(), bash_completion(program)) ? 0 : 1;
}

}  // namespace wrackline::manual
