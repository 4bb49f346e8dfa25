#include "hosts/file_fence.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>

#include "base/bytes.h"
#include "crypto/sha256.h"

namespace wrackline {
namespace {

// Log, seq and root, and the beginning of their SHA-256, so that a torn write reads as no fence.
constexpr std::size_t kPointSize = 20;
constexpr std::size_t kFileSize = kPointSize + 8;

Bytes bytes_of(const FencePoint& point) {
  Bytes out;
  append_le(out, point.log.value, 8);
  append_le(out, point.seq, 4);
  append_le(out, point.root, 8);
  const std::uint64_t check = first8(sha256(out));
  append_le(out, check, 8);
  return out;
}

}  // namespace

std::unique_ptr<FileFence> FileFence::beside(const std::string& records_path) {
  const char* state = std::getenv("XDG_STATE_HOME");
  const char* home = std::getenv("HOME");
  std::string folder;
  if (state != nullptr && *state == '/') {
    folder = state;
  } else if (home != nullptr && *home == '/') {
    folder = std::string(home) + "/.local/state";
  } else {
    return nullptr;
  }
  std::error_code ignored;
  const std::string where = std::filesystem::weakly_canonical(records_path, ignored).string();
  const std::uint64_t name = first8(sha256(where));
  char digits[17];
  std::snprintf(digits, sizeof digits, "%016llx", static_cast<unsigned long long>(name));
  return std::make_unique<FileFence>(folder + "/wrackline/fences/" + digits);
}

FileFence::~FileFence() {
  if (file_ >= 0) ::close(file_);
}

std::optional<FencePoint> FileFence::read() {
  const int file = ::open(path_.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) return std::nullopt;
  char buffer[kFileSize + 1];
  const ssize_t size = ::read(file, buffer, sizeof buffer);
  ::close(file);
  if (size != static_cast<ssize_t>(kFileSize)) return std::nullopt;
  const ByteView bytes(buffer, kFileSize);
  const FencePoint point{LogId{load_le(bytes.substr(0, 8))}, static_cast<Seq>(load_le(bytes.substr(8, 4))),
                         load_le(bytes.substr(12, 8))};
  return ByteView(bytes_of(point)) == bytes ? std::optional<FencePoint>(point) : std::nullopt;
}

bool FileFence::open_to_write() {
  if (file_ >= 0) return true;
  std::error_code error;
  std::filesystem::create_directories(std::filesystem::path(path_).parent_path(), error);
  file_ = ::open(path_.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
  return file_ >= 0;
}

bool FileFence::write(const FencePoint& point) {
  const Bytes bytes = bytes_of(point);
  return open_to_write() && ::pwrite(file_, bytes.data(), bytes.size(), 0) == static_cast<ssize_t>(bytes.size());
}

}  // namespace wrackline
