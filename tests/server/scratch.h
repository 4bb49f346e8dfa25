// A directory of a test's own, and results that must have gone well.
#pragma once

#include <stdlib.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "base/result.h"

namespace wrackline {

class Scratch {
 public:
  Scratch() {
    std::string path = (std::filesystem::temp_directory_path() / "wrackline-test-XXXXXX").string();
    if (::mkdtemp(path.data()) == nullptr) throw std::runtime_error("no scratch directory");
    path_ = path;
  }
  ~Scratch() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  std::string operator/(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

// The value, or the end of the test with the error's own words.
template <typename T>
T must(Result<T> result) {
  if (!result) FAIL(error_word(result.error().code) << ": " << result.error().message);
  return std::move(*result);
}
inline void must(const Status& status) {
  if (!status) FAIL(error_word(status.error().code) << ": " << status.error().message);
}

inline std::string content_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace wrackline
