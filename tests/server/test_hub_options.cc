#include "test_hub_options.h"

#include <fstream>
#include <type_traits>

namespace wrackline {

static_assert(std::is_trivially_copyable_v<TestHubOptions>);

void TestHubOptions::write(const std::string& path) const {
  std::ofstream(path, std::ios::binary).write(reinterpret_cast<const char*>(this), sizeof *this);
}

std::optional<TestHubOptions> TestHubOptions::read(const std::string& path) {
  TestHubOptions out;
  std::ifstream file(path, std::ios::binary);
  if (!file.read(reinterpret_cast<char*>(&out), sizeof out)) return std::nullopt;
  return out;
}

}  // namespace wrackline
