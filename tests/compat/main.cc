// Runs the compatibility tests; with `--write FILE`, writes the list of today's descriptors instead, which is
// done once for each release:
//
//   build/tests/compat/wrackline_compat_tests --write tests/compat/descriptors/<major>.<minor>.txt
#define CATCH_CONFIG_RUNNER
#include <catch2/catch.hpp>
#include <fstream>
#include <iostream>

#include "descriptor_list.h"

namespace {

int write_list(const char* path) {
  google::protobuf::FileDescriptorSet set;
  std::ifstream in(WRACKLINE_DESCRIPTORS, std::ios::binary);
  if (!set.ParseFromIstream(&in) || set.file_size() == 0) {
    std::cerr << "the descriptors cannot be read: build the target wrackline_descriptors\n";
    return 1;
  }
  std::ofstream out(path);
  out << "# The messages of proto/ as release " << WRACKLINE_RELEASE
      << " wrote them; see ../descriptor_list.h.\n"
      << "# Written by wrackline_compat_tests --write. After the release, never again.\n";
  for (const std::string& line : wrackline::list_descriptors(set)) out << line << '\n';
  out.close();
  if (!out) {
    std::cerr << "the list could not be written\n";
    return 1;
  }
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc == 3 && std::string(argv[1]) == "--write") return write_list(argv[2]);
  return Catch::Session().run(argc, argv);
}
