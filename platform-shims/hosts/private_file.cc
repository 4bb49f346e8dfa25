#include "hosts/private_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace wrackline {
namespace {

class FileDescriptor {
 public:
  explicit FileDescriptor(int fd) : fd_(fd) {}
  FileDescriptor(const FileDescriptor&) = delete;
  FileDescriptor& operator=(const FileDescriptor&) = delete;
  ~FileDescriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const { return fd_; }
  explicit operator bool() const { return fd_ >= 0; }

 private:
  int fd_;
};

Unexpected system_failure(const std::string& doing, const std::string& path, int number) {
  ErrorCode code = ErrorCode::kStorage;
  if (number == ENOSPC || number == EDQUOT) code = ErrorCode::kDiskFull;
  if (number == EACCES || number == EPERM || number == EROFS) code = ErrorCode::kReadOnly;
  if (number == ENOENT) code = ErrorCode::kNotFound;
  return fail(code, doing + " " + path + ": " + std::strerror(number));
}

}  // namespace

// A new name is durable only once the directory that holds it is.
Status sync_directory_of(const std::string& path) {
  const auto slash = path.rfind('/');
  const std::string directory = slash == std::string::npos ? "." : slash == 0 ? "/" : path.substr(0, slash);
  const FileDescriptor fd(::open(directory.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (!fd || ::fsync(fd.get()) != 0) return system_failure("making durable", directory, errno);
  return {};
}

Status create_private_file(const std::string& path, ByteView content) {
  const FileDescriptor fd(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600));
  if (!fd && errno == EEXIST)
    return fail(ErrorCode::kInvalid,
                "making " + path + ": there is a file of this name; it was left as it is");
  if (!fd) return system_failure("making", path, errno);
  int number = ::fchmod(fd.get(), 0600) == 0 ? 0 : errno;  // Whatever the umask says.
  while (number == 0 && !content.empty()) {
    const ssize_t written = ::write(fd.get(), content.data(), content.size());
    if (written > 0)
      content.remove_prefix(static_cast<std::size_t>(written));
    else if (written == 0)
      number = ENOSPC;
    else if (errno != EINTR)
      number = errno;
  }
  if (number == 0 && ::fsync(fd.get()) != 0) number = errno;
  if (number != 0) {
    ::unlink(path.c_str());
    return system_failure("writing", path, number);
  }
  return sync_directory_of(path);
}

Status replace_private_file(const std::string& path, ByteView content) {
  const std::string beside = path + ".new";
  ::unlink(beside.c_str());  // Left by a crash between the two steps below.
  WRACKLINE_TRY(create_private_file(beside, content));
  if (::rename(beside.c_str(), path.c_str()) != 0) {
    const int number = errno;
    ::unlink(beside.c_str());
    return system_failure("replacing", path, number);
  }
  return sync_directory_of(path);
}

Result<Bytes> read_private_file(const std::string& path, std::size_t bytes_max) {
  // O_NONBLOCK: a pipe of this name must not hold us up.
  const FileDescriptor fd(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
  if (!fd) return system_failure("reading", path, errno);
  struct stat about {};
  if (::fstat(fd.get(), &about) != 0) return system_failure("reading", path, errno);
  if (!S_ISREG(about.st_mode))
    return fail(ErrorCode::kStorage, "reading " + path + ": it is not a plain file");
  if ((about.st_mode & 077) != 0)
    return fail(ErrorCode::kKeystore,
                "reading " + path +
                    ": other users of this machine may read or change it, so it was not used; "
                    "make it private with `chmod 600`, and consider it known to them");
  if (static_cast<std::uint64_t>(about.st_size) > bytes_max)
    return fail(ErrorCode::kTooLarge, "reading " + path + ": it is larger than such a file can be");
  Bytes content(static_cast<std::size_t>(about.st_size), '\0');
  std::size_t filled = 0;
  while (filled < content.size()) {
    const ssize_t count = ::read(fd.get(), content.data() + filled, content.size() - filled);
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return system_failure("reading", path, errno);
    if (count == 0) break;
    filled += static_cast<std::size_t>(count);
  }
  content.resize(filled);
  return content;
}

}  // namespace wrackline
