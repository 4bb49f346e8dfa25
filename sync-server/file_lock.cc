#include "file_lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace wrackline {

Result<FileLock> FileLock::take(const std::string& path, Wait wait) {
  FileLock lock(::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600));
  if (lock.fd_ < 0) {
    const ErrorCode code = errno == EACCES || errno == EROFS ? ErrorCode::kReadOnly : ErrorCode::kStorage;
    return fail(code, "locking " + path + ": " + std::strerror(errno));
  }
  int outcome;
  do {
    outcome = ::flock(lock.fd_, LOCK_EX | (wait == Wait::kNo ? LOCK_NB : 0));
  } while (outcome != 0 && errno == EINTR);
  if (outcome == 0) return lock;
  if (errno == EWOULDBLOCK) return fail(ErrorCode::kBusy, "locking " + path + ": another process holds it");
  return fail(ErrorCode::kStorage, "locking " + path + ": " + std::strerror(errno));
}

FileLock::~FileLock() {
  if (fd_ >= 0) ::close(fd_);
}

}  // namespace wrackline
