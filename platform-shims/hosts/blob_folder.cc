#include "hosts/blob_folder.h"

#include <fcntl.h>
#include <openssl/evp.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <memory>

#include "hosts/private_file.h"

namespace wrackline {
namespace {

class BlobFile {
 public:
  BlobFile(const std::string& path, int flags) : fd_(::open(path.c_str(), flags | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK, 0600)) {}
  BlobFile(const BlobFile&) = delete;
  BlobFile& operator=(const BlobFile&) = delete;
  ~BlobFile() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const { return fd_; }
  explicit operator bool() const { return fd_ >= 0; }

 private:
  int fd_;
};

Unexpected blob_failure(const std::string& doing, const std::string& path, int number) {
  ErrorCode code = ErrorCode::kStorage;
  if (number == ENOSPC || number == EDQUOT || number == EFBIG) code = ErrorCode::kDiskFull;
  if (number == EACCES || number == EPERM || number == EROFS) code = ErrorCode::kReadOnly;
  return fail(code, doing + " " + path + ": " + std::strerror(number) + "; what was there before is kept, try again");
}

// A plain file's size; none where there is nothing of that name.
Result<std::optional<std::uint64_t>> size_of(const std::string& path) {
  struct stat about {};
  if (::lstat(path.c_str(), &about) != 0) {
    if (errno == ENOENT || errno == ENOTDIR) return std::optional<std::uint64_t>();
    return blob_failure("looking for", path, errno);
  }
  if (!S_ISREG(about.st_mode)) return fail(ErrorCode::kStorage, "looking for " + path + ": it is no plain file; move it away");
  return std::optional<std::uint64_t>(static_cast<std::uint64_t>(about.st_size));
}

Status make_folder(const std::string& path) {
  if (::mkdir(path.c_str(), 0700) == 0) return sync_directory_of(path);
  if (errno == EEXIST) return {};
  return blob_failure("making", path, errno);
}

// Returns the errno of what failed, or 0.
int write_at(int fd, std::uint64_t offset, ByteView part) {
  while (!part.empty()) {
    const ssize_t written = ::pwrite(fd, part.data(), part.size(), static_cast<off_t>(offset));
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return errno;
    if (written == 0) return ENOSPC;
    offset += static_cast<std::uint64_t>(written);
    part.remove_prefix(static_cast<std::size_t>(written));
  }
  return 0;
}

// Hashes a whole file a piece at a time: it may be larger than what one wants to hold in memory.
Result<Hash> hash_of_file(const std::string& path) {
  const BlobFile file(path, O_RDONLY);
  if (!file) return blob_failure("reading", path, errno);
  const std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context(EVP_MD_CTX_new(), EVP_MD_CTX_free);
  bool ok = context && EVP_DigestInit_ex(context.get(), EVP_sha256(), nullptr) == 1;
  Bytes piece(256 << 10, '\0');
  while (ok) {
    const ssize_t count = ::read(file.get(), piece.data(), piece.size());
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return blob_failure("reading", path, errno);
    if (count == 0) break;
    ok = EVP_DigestUpdate(context.get(), piece.data(), static_cast<std::size_t>(count)) == 1;
  }
  Hash out;
  if (!ok || EVP_DigestFinal_ex(context.get(), out.data(), nullptr) != 1)
    return fail(ErrorCode::kInternal, "hashing " + path + ": there is not enough memory; try again");
  return out;
}

}  // namespace

std::optional<Hash> parse_blob_name(std::string_view text) {
  Hash out;
  if (text.size() != 2 * out.size()) return std::nullopt;
  const auto value = [](char c) { return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1; };
  for (std::size_t i = 0; i < out.size(); ++i) {
    const int high = value(text[2 * i]), low = value(text[2 * i + 1]);
    if (high < 0 || low < 0) return std::nullopt;
    out[i] = static_cast<unsigned char>(high * 16 + low);
  }
  return out;
}

std::string BlobFolder::folder_of(const Hash& hash) const { return root_ + "/" + blob_name(hash).substr(0, 2); }
std::string BlobFolder::path_of(const Hash& hash) const { return folder_of(hash) + "/" + blob_name(hash); }

Status BlobFolder::make_folders(const Hash& hash) const {
  WRACKLINE_TRY(make_folder(root_));
  return make_folder(folder_of(hash));
}

Result<BlobFolder::Held> BlobFolder::held(const Hash& hash) const {
  WRACKLINE_TRY_VALUE(whole, size_of(path_of(hash)));
  if (whole) return Held{*whole, true};
  WRACKLINE_TRY_VALUE(part, size_of(part_of(hash)));
  return Held{part ? *part : 0, false};
}

Result<BlobFolder::Held> BlobFolder::put(const Hash& hash, std::uint64_t offset, std::uint64_t total, ByteView part) {
  if (offset > total || part.size() > total - offset)
    return fail(ErrorCode::kInvalid, "taking in a part of a file: it reaches beyond the file's end; nothing of it was kept");
  WRACKLINE_TRY_VALUE(before, held(hash));
  if (before.whole) return before;
  if (offset > before.bytes)
    return fail(ErrorCode::kInvalid, "taking in a part of a file: " + std::to_string(before.bytes) +
                                         " bytes of it are here, and the part begins behind them; go on from there");
  const std::string path = part_of(hash);
  if (before.bytes > total) {  // Left by somebody who took it for a longer one.
    if (::unlink(path.c_str()) != 0) return blob_failure("removing", path, errno);
    before.bytes = 0;
    if (offset > 0)
      return fail(ErrorCode::kInvalid, "taking in a part of a file: what was here of it was longer than all of it; begin anew");
  }
  const auto known = std::min<std::uint64_t>(before.bytes - offset, part.size());
  part.remove_prefix(static_cast<std::size_t>(known));
  if (!part.empty()) {
    WRACKLINE_TRY(make_folders(hash));
    const BlobFile file(path, O_WRONLY | O_CREAT);
    if (!file) return blob_failure("making", path, errno);
    int number = ::fchmod(file.get(), 0600) == 0 ? 0 : errno;  // Whatever the umask says.
    if (number == 0) number = write_at(file.get(), before.bytes, part);
    if (number == 0 && ::fdatasync(file.get()) != 0) number = errno;
    if (number != 0) {
      // Half a part must not count as one. When not even that works, the hash finds it at the end.
      const int cut = ::ftruncate(file.get(), static_cast<off_t>(before.bytes));
      static_cast<void>(cut);
      return blob_failure("writing", path, number);
    }
  }
  Held after{before.bytes + part.size(), false};
  if (after.bytes < total || total == 0) return after;
  WRACKLINE_TRY(finish(hash));
  after.whole = true;
  return after;
}

Status BlobFolder::finish(const Hash& hash) const {
  const std::string part = part_of(hash), path = path_of(hash);
  WRACKLINE_TRY_VALUE(found, hash_of_file(part));
  if (found != hash) {
    ::unlink(part.c_str());
    return fail(ErrorCode::kMalformed,
                "taking in a file: all of it is here, and it is another than its hash names; nothing of it was kept. Send it anew");
  }
  if (::rename(part.c_str(), path.c_str()) != 0) return blob_failure("naming", path, errno);
  return sync_directory_of(path);
}

Result<Bytes> BlobFolder::read(const Hash& hash, std::uint64_t offset, std::size_t bytes_max) const {
  const std::string path = path_of(hash);
  WRACKLINE_TRY_VALUE(size, size_of(path));
  if (!size) return fail(ErrorCode::kNotFound, "reading a file by its hash: it is not here, or not all of it yet");
  Bytes out(static_cast<std::size_t>(std::min<std::uint64_t>(bytes_max, *size - std::min(offset, *size))), '\0');
  const BlobFile file(path, O_RDONLY);
  if (!file) return blob_failure("reading", path, errno);
  std::size_t filled = 0;
  while (filled < out.size()) {
    const ssize_t count = ::pread(file.get(), out.data() + filled, out.size() - filled, static_cast<off_t>(offset + filled));
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return blob_failure("reading", path, errno);
    if (count == 0) break;
    filled += static_cast<std::size_t>(count);
  }
  out.resize(filled);
  return out;
}

Result<std::uint64_t> BlobFolder::bytes_used() const {
  namespace fs = std::filesystem;
  std::uint64_t sum = 0;
  std::error_code error;
  if (!fs::exists(root_, error) && !error) return sum;
  for (fs::recursive_directory_iterator at(root_, error), end; !error && at != end; at.increment(error)) {
    if (!at->is_regular_file(error) || error) continue;
    const std::uintmax_t size = at->file_size(error);
    if (!error) sum += size;
  }
  if (error) return fail(ErrorCode::kStorage, "counting what is in " + root_ + ": " + error.message());
  return sum;
}

}  // namespace wrackline
