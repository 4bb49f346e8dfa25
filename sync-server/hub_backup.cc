#include "hub_backup.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "file_lock.h"
#include "hosts/key_change.h"
#include "hosts/private_file.h"
#include "hub_keys.h"
#include "store/backup.h"

namespace wrackline {
namespace {

namespace fs = std::filesystem;

Status sync_file(const std::string& path) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  const bool ok = fd >= 0 && ::fsync(fd) == 0;
  const int number = errno;
  if (fd >= 0) ::close(fd);
  if (ok) return {};
  return fail(ErrorCode::kStorage, "making " + path + " durable: " + std::strerror(number));
}

// The file under its working name; gone again unless it was named.
class Making {
 public:
  explicit Making(std::string path) : path_(std::move(path)) { clear(); }
  Making(const Making&) = delete;
  Making& operator=(const Making&) = delete;
  ~Making() { clear(); }
  const std::string& path() const { return path_; }

 private:
  void clear() {
    for (const char* beside : {"", "-journal", "-wal", "-shm"}) ::unlink((path_ + beside).c_str());
  }
  std::string path_;
};

Status copy(const BackupOptions& options, const std::string& making, const Progress& progress) {
  WRACKLINE_TRY(copy_records(options.directory.records(), making, [&](std::int64_t done, std::int64_t all) {
    if (progress) progress("copying", static_cast<std::uint64_t>(done), static_cast<std::uint64_t>(all));
  }));
  if (progress) progress("checking the copy", 0, 0);
  WRACKLINE_TRY(check_file(making));
  std::error_code error;
  fs::permissions(making, fs::perms::owner_read | fs::perms::owner_write, error);
  if (error) return fail(ErrorCode::kStorage, "making " + making + " private: " + error.message());
  return sync_file(making);
}

}  // namespace

std::string keys_file_of(const std::string& backup) { return backup + ".keys"; }

Result<BackupOutcome> back_up(const BackupOptions& options, const Progress& progress) {
  std::error_code error;
  for (const std::string& place : {options.to, keys_file_of(options.to)}) {
    if (fs::exists(fs::symlink_status(place, error)))
      return fail(ErrorCode::kInvalid, "backing up to " + options.to + ": " + place +
                                           " is there already and was left as it is; name another file, for "
                                           "example with the day in it");
  }
  if (!fs::exists(options.directory.key(), error))
    return fail(ErrorCode::kNotFound, "backing up " + options.directory.path + ": it is no hub's directory");
  const std::string working_name = options.to + ".making";
  auto lock = FileLock::take(working_name + ".lock", FileLock::Wait::kNo);
  if (!lock && lock.error().code == ErrorCode::kBusy)
    return fail(ErrorCode::kBusy, "backing up to " + options.to + ": another backup is writing there");
  if (!lock) return fail(lock.error());

  BackupOutcome outcome;
  {
    const Making making(working_name);
    const Status copied = copy(options, making.path(), progress);
    if (!copied) {
      ::unlink((working_name + ".lock").c_str());
      return fail(copied.error().code, "backing up to " + options.to + ": " + copied.error().message);
    }
    outcome.bytes = fs::file_size(making.path(), error);
    if (options.with_keys) {
      // Ends a change of the key that was cut off, so that the key is the one of these records.
      WRACKLINE_TRY(open_key(options.directory.key(), options.directory.records()));
      WRACKLINE_TRY_VALUE(keys, read_hub_keys(options.directory));
      const Status written = write_keys_file(keys, keys_file_of(options.to));
      wipe(keys);
      WRACKLINE_TRY(written);
    }
    // link() where rename() would put it over a file that has come there meanwhile.
    if (::link(making.path().c_str(), options.to.c_str()) != 0)
      return fail(ErrorCode::kStorage, "naming the backup " + options.to + ": " + std::strerror(errno));
  }
  ::unlink((working_name + ".lock").c_str());
  WRACKLINE_TRY(sync_directory_of(options.to));
  return outcome;
}

}  // namespace wrackline
