#include "hosts/key_change.h"

#include <filesystem>

#include "hosts/private_file.h"
#include "replica/replica.h"

namespace wrackline {
namespace {

bool is_there(const std::string& path) {
  std::error_code ignored;
  return std::filesystem::exists(path, ignored);
}

}  // namespace

std::string next_key_path(const std::string& path) { return path + ".next"; }

Result<std::unique_ptr<FileKeystore>> begin_key_change(const std::string& path) {
  const std::string next = next_key_path(path);
  return is_there(next) ? FileKeystore::open(next) : FileKeystore::create(next);
}

Status end_key_change(const std::string& path) {
  std::error_code error;
  std::filesystem::rename(next_key_path(path), path, error);
  if (error == std::errc::no_such_file_or_directory)
    return fail(ErrorCode::kNotFound,
                "putting the new key in place: there is none at " + next_key_path(path));
  if (error)
    return fail(error == std::errc::permission_denied || error == std::errc::read_only_file_system
                    ? ErrorCode::kReadOnly
                    : ErrorCode::kStorage,
                "putting the new key in place: " + path + " could not be replaced (" + error.message() +
                    "); both keys are kept, and it is tried again at the next start");
  return sync_directory_of(path);
}

Result<std::unique_ptr<FileKeystore>> open_key(const std::string& path, const std::string& records_path) {
  if (is_there(next_key_path(path))) {
    WRACKLINE_TRY_VALUE(wanted, Replica::key_of(records_path));
    WRACKLINE_TRY_VALUE(next, FileKeystore::open(next_key_path(path)));
    if (next->public_key() == wanted) {
      WRACKLINE_TRY(end_key_change(path));
      return Result<std::unique_ptr<FileKeystore>>(std::move(next));
    }
  }
  return FileKeystore::open(path);
}

}  // namespace wrackline
