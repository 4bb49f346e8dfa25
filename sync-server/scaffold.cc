#include "scaffold.h"

#include <stdlib.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>

#include "hosts/private_file.h"

namespace wrackline {

namespace fs = std::filesystem;

Result<Scaffold> Scaffold::make(const std::string& beside) {
  std::string path = beside + ".making-XXXXXX";
  if (::mkdtemp(path.data()) == nullptr)  // Mode 0700.
    return fail(ErrorCode::kStorage, "making a directory beside " + beside + ": " + std::strerror(errno));
  return Scaffold(std::move(path));
}

Scaffold::~Scaffold() {
  std::error_code ignored;
  if (!path_.empty()) fs::remove_all(path_, ignored);
}

Status Scaffold::move_to(const std::string& place) {
  // rename() puts a directory over an empty one, and over nothing else.
  if (std::rename(path_.c_str(), place.c_str()) != 0)
    return fail(ErrorCode::kStorage, "moving what was made to " + place + ": " + std::strerror(errno));
  path_.clear();
  return sync_directory_of(place);
}

std::string without_slash(std::string path) {
  while (path.size() > 1 && path.back() == '/') path.pop_back();
  return path;
}

bool is_free_place(const std::string& path) {
  std::error_code error;
  return !fs::exists(path, error) || (fs::is_directory(path, error) && fs::is_empty(path, error));
}

}  // namespace wrackline
