#include "store/sqlite.h"

#include <sqlite3.h>

#include <cstdio>
#include <utility>

#include "base/planted.h"

namespace wrackline {

// ---- Statement --------------------------------------------------------------------------------------------

Statement::Statement(Database& database, std::string_view sql) : database_(&database), sql_(sql) {}

Statement::Statement(Statement&& other) noexcept
    : statement_(std::exchange(other.statement_, nullptr)), database_(other.database_), sql_(std::move(other.sql_)) {}

Statement& Statement::operator=(Statement&& other) noexcept {
  std::swap(statement_, other.statement_);
  std::swap(database_, other.database_);
  std::swap(sql_, other.sql_);
  return *this;
}

Statement::~Statement() { sqlite3_finalize(statement_); }

sqlite3_stmt* Statement::compiled() {
  if (statement_ == nullptr && database_ != nullptr) {
    sqlite3_prepare_v3(database_->handle(), sql_.data(), static_cast<int>(sql_.size()), SQLITE_PREPARE_PERSISTENT,
                       &statement_, nullptr);
  }
  return statement_;
}

void Statement::bind(int index, std::int64_t value) { sqlite3_bind_int64(compiled(), index, value); }

void Statement::bind(int index, ByteView blob) {
  // An empty view may have no address, and no address would mean NULL. The bytes outlive the step.
  sqlite3_bind_blob64(compiled(), index, blob.empty() ? "" : blob.data(), blob.size(), SQLITE_STATIC);
}

void Statement::bind(int index, std::nullptr_t) { sqlite3_bind_null(compiled(), index); }

Result<bool> Statement::step() {
  const int code = compiled() == nullptr ? SQLITE_ERROR : sqlite3_step(statement_);
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) {
    sqlite3_reset(statement_);
    return false;
  }
  const Error error = database_->error("reading or writing the records");
  reset();
  return fail(error);
}

Status Statement::run() {
  auto row = step();
  if (!row) return fail(row.error());
  reset();
  return {};
}

Result<std::vector<std::int64_t>> Statement::integers() {
  std::vector<std::int64_t> out;
  for (;;) {
    WRACKLINE_TRY_VALUE(row, step());
    if (!row) return out;
    out.push_back(integer(0));
  }
}

void Statement::reset() { sqlite3_reset(statement_); }

std::int64_t Statement::integer(int column) const { return sqlite3_column_int64(statement_, column); }

ByteView Statement::blob(int column) const {
  const void* data = sqlite3_column_blob(statement_, column);
  return {static_cast<const char*>(data), static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}

bool Statement::is_null(int column) const { return sqlite3_column_type(statement_, column) == SQLITE_NULL; }

// ---- Database ---------------------------------------------------------------------------------------------

Database::Database(sqlite3* handle) : handle_(handle) {}

Database::~Database() {
  version_ = Statement();
  begin_ = Statement();
  commit_ = Statement();
  begin_reading_ = Statement();
  rollback_ = Statement();
  sqlite3_close_v2(handle_);
}

namespace {

bool waits_in_wal(const std::string& path) {
  std::FILE* wal = std::fopen((path + "-wal").c_str(), "rb");
  if (wal == nullptr) return false;
  const bool waits = std::fgetc(wal) != EOF;
  std::fclose(wal);
  return waits;
}

}  // namespace

Result<std::unique_ptr<Database>> Database::open(const std::string& path, Mode mode) {
  const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE |
                    (mode == Mode::kCreate ? SQLITE_OPEN_CREATE : 0);
  sqlite3* handle = nullptr;
  const int code = sqlite3_open_v2(path.c_str(), &handle, flags, nullptr);
  std::unique_ptr<Database> database(new Database(handle));
  if (code != SQLITE_OK) {
    if ((code & 0xff) == SQLITE_CANTOPEN && mode == Mode::kOpen) {
      return fail(ErrorCode::kNotFound, "opening the records: there is no database here that can be read and written");
    }
    return fail(database->error("opening the records"));
  }
  if (mode == Mode::kOpen && sqlite3_db_readonly(handle, "main") == 1) {
    // A WAL database wants a file of its own beside it even to be read. On a disk that cannot be written it is read as it
    // stands, which is all of it when nothing waits in the WAL.
    Bytes as_it_stands = "file:";
    for (const char c : path) as_it_stands += c == '?' || c == '#' || c == '%' ? "%" + to_hex(ByteView(&c, 1)) : std::string(1, c);
    as_it_stands += "?immutable=1";
    sqlite3* still = nullptr;
    constexpr int kReading = SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE | SQLITE_OPEN_URI;
    if (!waits_in_wal(path) && sqlite3_open_v2(as_it_stands.c_str(), &still, kReading, nullptr) == SQLITE_OK) {
      database.reset(new Database(still));
      handle = still;
    } else {
      sqlite3_close_v2(still);
    }
  }
  sqlite3_busy_timeout(handle, 5000);
  // A plan follows from the statement alone. Else each statement over a table with a partial index is prepared anew whenever another
  // value is bound, in case the index fits that one: which took a quarter of a merge.
  sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_QPSG, 1, nullptr);
  database->version_ = Statement(*database, "PRAGMA data_version");
  database->begin_ = Statement(*database, "BEGIN IMMEDIATE");
  database->commit_ = Statement(*database, "COMMIT");
  database->begin_reading_ = Statement(*database, "BEGIN DEFERRED");
  database->rollback_ = Statement(*database, "ROLLBACK");
  return database;
}

Status Database::configure() {
  if (planted("forget-the-fsync")) return execute("PRAGMA journal_mode=WAL;PRAGMA synchronous=OFF");
  return execute(
      // WAL: one sync for each commit, and readers never wait for the writer.
      "PRAGMA journal_mode=WAL;"
      // FULL: a commit is on the disk before it is answered. NORMAL would lose acknowledged entries in a power cut.
      "PRAGMA synchronous=FULL;"
      // Bytes from outside may have damaged the file: look at what is read rather than trust it.
      "PRAGMA cell_size_check=ON;"
      "PRAGMA trusted_schema=OFF;"
      // Sorting and temporary tables never leave record contents in other files.
      "PRAGMA temp_store=MEMORY;"
      "PRAGMA cache_size=-16000;");
}

Status Database::execute(const std::string& sql) {
  if (sqlite3_exec(handle_, sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK) {
    return fail(error("reading or writing the records"));
  }
  return {};
}

Status Database::copy_to(Database& to, const std::function<void(std::int64_t, std::int64_t)>& progress) {
  constexpr int kPagesAtOnce = 1024;
  // With a read transaction open, every step sees the same moment; without one a commit by another process
  // would make the copy begin anew, and on a busy database it might never end.
  WRACKLINE_TRY_VALUE(moment, Transaction::begin_reading(*this));
  {
    Statement look(*this, "SELECT count(*) FROM sqlite_schema");
    WRACKLINE_TRY(look.step());
  }
  sqlite3_backup* copy = sqlite3_backup_init(to.handle_, "main", handle_, "main");
  if (copy == nullptr) return fail(to.error("copying the records"));
  int code = SQLITE_OK;
  while (code == SQLITE_OK) {
    code = sqlite3_backup_step(copy, kPagesAtOnce);
    if (progress) {
      const std::int64_t all = sqlite3_backup_pagecount(copy);
      progress(all - sqlite3_backup_remaining(copy), all);
    }
  }
  if (sqlite3_backup_finish(copy) != SQLITE_OK) return fail(to.error("copying the records"));
  return moment.commit();
}

std::int64_t Database::data_version() {
  version_.reset();
  auto row = version_.step();
  const std::int64_t version = row && *row ? version_.integer(0) : -1;
  version_.reset();
  return version;
}

std::int64_t Database::rows_written() const { return sqlite3_total_changes(handle_); }

Error Database::error(std::string_view doing) const {
  std::string text(doing);
  switch (sqlite3_errcode(handle_) & 0xff) {
    case SQLITE_FULL:
      return {ErrorCode::kDiskFull, text + ": the disk is full; nothing of this call was kept and everything "
                                           "before it was; make room and try again"};
    case SQLITE_READONLY:
      return {ErrorCode::kReadOnly, text + ": the database file may only be read; nothing was changed; check the "
                                           "permissions of the file and its folder"};
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return {ErrorCode::kBusy, text + ": another program is writing; nothing was changed; try again"};
    case SQLITE_NOTADB:
      return {ErrorCode::kMalformed, text + ": the file is no database; it was left as it is; check the path or "
                                            "restore the file from a backup"};
    case SQLITE_CORRUPT:
      return {ErrorCode::kStorage, text + ": the database file is damaged; it was left as it is; keep a copy of it, "
                                          "and exchange from a backup or a new device"};
    default:
      return {ErrorCode::kStorage, text + ": " + sqlite3_errmsg(handle_) + "; nothing of this call was kept"};
  }
}

// ---- Transaction ------------------------------------------------------------------------------------------

Result<Transaction> Transaction::begin(Database& database) {
  WRACKLINE_TRY(database.begin_.run());
  return Transaction(database);
}

Result<Transaction> Transaction::begin_reading(Database& database) {
  WRACKLINE_TRY(database.begin_reading_.run());
  return Transaction(database);
}

Transaction::~Transaction() {
  if (database_ != nullptr) (void)database_->rollback_.run();
}

Status Transaction::commit() {
  WRACKLINE_TRY(database_->commit_.run());
  database_ = nullptr;
  return {};
}

}  // namespace wrackline
