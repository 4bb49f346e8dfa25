#include "store/backup.h"

#include "store/schema.h"
#include "store/sqlite.h"

namespace wrackline {

Status copy_records(const std::string& from, const std::string& to, const CopyProgress& progress) {
  if (auto existing = Database::open(to, Database::Mode::kOpen)) {
    return fail(ErrorCode::kInvalid,
                "copying the records: there is a file already where the copy is to go; it was left as it is");
  }
  WRACKLINE_TRY_VALUE(source, Database::open(from, Database::Mode::kOpen));
  WRACKLINE_TRY(check_schema(*source));  // Refuses what is not ours before anything is written.
  WRACKLINE_TRY_VALUE(target, Database::open(to, Database::Mode::kCreate));
  WRACKLINE_TRY(source->copy_to(*target, progress));
  // The copied header says WAL; a copy that is carried about must be one file.
  return target->execute("PRAGMA journal_mode=DELETE");
}

Status check_file(const std::string& path) {
  WRACKLINE_TRY_VALUE(database, Database::open(path, Database::Mode::kOpen));
  Statement check(*database, "PRAGMA integrity_check(1)");
  WRACKLINE_TRY_VALUE(row, check.step());
  const std::string word = row ? std::string(check.blob(0)) : "no answer";
  if (word == "ok") return {};
  return fail(ErrorCode::kStorage, "checking the database file: " + word);
}

}  // namespace wrackline
