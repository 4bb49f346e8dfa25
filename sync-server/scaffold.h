// A directory in the making: built beside its place and then moved there, whole or not at all.
#pragma once

#include <string>

#include "base/result.h"

namespace wrackline {

class Scaffold {
 public:
  // Makes a directory of mode 0700 whose name begins with `beside`. Errors: kStorage.
  static Result<Scaffold> make(const std::string& beside);
  Scaffold(Scaffold&& other) noexcept : path_(std::move(other.path_)) { other.path_.clear(); }
  Scaffold& operator=(Scaffold&&) = delete;
  ~Scaffold();  // Removes it with all that is in it, unless it was moved.

  const std::string& path() const { return path_; }
  // To a place where nothing is, or an empty directory; durable when this returns. Errors: kStorage.
  Status move_to(const std::string& place);

 private:
  explicit Scaffold(std::string path) : path_(std::move(path)) {}
  std::string path_;
};

// `path` without slashes at its end.
std::string without_slash(std::string path);

// True when nothing is there, or an empty directory.
bool is_free_place(const std::string& path);

}  // namespace wrackline
