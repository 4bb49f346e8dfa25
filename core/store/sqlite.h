// SQLite as the store needs it: a connection, prepared statements, a transaction. sqlite3.h is included by
// sqlite.cc alone.
//
// Every failure comes back as an Error that says what was being done; a transaction that is not committed is
// rolled back. Threads: one at a time for a connection and all its statements.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/bytes.h"
#include "base/result.h"

struct sqlite3;
struct sqlite3_stmt;

namespace wrackline {

class Database;

// A prepared statement. Bind with bind(), then step() for rows or run() for none; both start it anew after a
// reset. Column views are valid until the next step or reset. It is compiled when it is first used: opening a database
// would else take longer than its first answer.
class Statement {
 public:
  Statement() = default;
  Statement(Database& database, std::string_view sql);
  Statement(Statement&& other) noexcept;
  Statement& operator=(Statement&& other) noexcept;
  ~Statement();

  // Rebinds from parameter 1 on and clears what a former use left.
  template <typename... Args>
  Statement& with(const Args&... args) {
    reset();
    int index = 0;
    (bind(++index, args), ...);
    return *this;
  }
  void bind(int index, std::int64_t value);
  void bind(int index, int value) { bind(index, static_cast<std::int64_t>(value)); }
  void bind(int index, std::uint32_t value) { bind(index, static_cast<std::int64_t>(value)); }
  // 64-bit words (log ids, stamps) are stored as the signed integer with the same bits.
  void bind(int index, std::uint64_t value) { bind(index, static_cast<std::int64_t>(value)); }
  void bind(int index, ByteView blob);
  void bind(int index, std::nullptr_t);

  Result<bool> step();  // True: there is a row.
  Status run();         // For statements without rows.
  // All rows that are left, of the first column.
  Result<std::vector<std::int64_t>> integers();
  void reset();

  std::int64_t integer(int column) const;
  ByteView blob(int column) const;
  bool is_null(int column) const;

 private:
  sqlite3_stmt* compiled();  // Null when it does not compile; using it then reports the reason.
  sqlite3_stmt* statement_ = nullptr;
  Database* database_ = nullptr;
  std::string sql_;
};

class Database {
 public:
  enum class Mode { kCreate, kOpen };
  // Errors: kNotFound, kStorage, kDiskFull, kReadOnly, kBusy, kMalformed (no SQLite database).
  static Result<std::unique_ptr<Database>> open(const std::string& path, Mode mode);
  ~Database();
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;

  // How we want SQLite to work, each setting with its reason in sqlite.cc. Apart from open(), so that a file that
  // turns out not to be ours is not changed by looking at it.
  Status configure();

  Status execute(const std::string& sql);
  // Copies all of it, as of one moment, over what `to` holds. Others may write meanwhile. `progress` is called
  // with pages done and pages in all. Errors: kDiskFull, kBusy, kStorage; then `to` is of no use.
  Status copy_to(Database& to, const std::function<void(std::int64_t, std::int64_t)>& progress);
  // Rises when another connection has written since this one last looked.
  std::int64_t data_version();
  // Rows written through this connection, also such as were rolled back.
  std::int64_t rows_written() const;
  // Describes a failed SQLite call: its code in our words, and what is to be done.
  Error error(std::string_view doing) const;
  sqlite3* handle() const { return handle_; }

 private:
  explicit Database(sqlite3* handle);
  friend class Transaction;
  sqlite3* handle_;
  Statement version_, begin_, commit_, begin_reading_, rollback_;
};

// Rolls back unless committed.
class Transaction {
 public:
  // Begins at once as the only writer.
  static Result<Transaction> begin(Database& database);
  // All that is read until it ends is of one moment, whoever writes meanwhile; and locks are taken once.
  static Result<Transaction> begin_reading(Database& database);
  Transaction(Transaction&& other) noexcept : database_(other.database_) { other.database_ = nullptr; }
  Transaction& operator=(Transaction&&) = delete;
  ~Transaction();
  Status commit();

 private:
  explicit Transaction(Database& database) : database_(&database) {}
  Database* database_;
};

}  // namespace wrackline
