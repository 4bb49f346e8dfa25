// An advisory lock between processes of this machine (flock), held for as long as the object lives.
#pragma once

#include <string>

#include "base/result.h"

namespace wrackline {

class FileLock {
 public:
  enum class Wait { kYes, kNo };
  // Makes the file when it is not there; it stays afterwards. Errors: kBusy when another process holds the
  // lock and `wait` is kNo; kReadOnly, kStorage.
  static Result<FileLock> take(const std::string& path, Wait wait);

  FileLock(FileLock&& other) noexcept : fd_(other.fd_) { other.fd_ = -1; }
  FileLock& operator=(FileLock&&) = delete;
  ~FileLock();

 private:
  explicit FileLock(int fd) : fd_(fd) {}
  int fd_;
};

}  // namespace wrackline
