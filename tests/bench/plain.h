// The floor: a program that keeps portions in one SQLite table and nothing else, with the same durability
// (WAL, synchronous=FULL) and one index to find the portions of a meal. No history, no seals, no merge of
// fields: what a record core costs is measured against it.
#pragma once

#include <sqlite3.h>

#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "workload.h"

namespace wrackline::bench {

class PlainTable {
 public:
  explicit PlainTable(const std::string& path) : path_(path) {
    check(sqlite3_open(path.c_str(), &db_));
    execute("PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA cache_size=-16000;"
            "CREATE TABLE IF NOT EXISTS portion(id INTEGER PRIMARY KEY, meal INTEGER, food INTEGER, gross_mg INTEGER,"
            " tare_mg INTEGER, left_mg INTEGER, stamp INTEGER, author INTEGER, device INTEGER);"
            "CREATE INDEX IF NOT EXISTS portion_meal ON portion(meal, food);");
    prepare("INSERT INTO portion VALUES(?,?,?,?,?,?,?,?,?)", &insert_);
    prepare("BEGIN IMMEDIATE", &begin_);
    prepare("COMMIT", &commit_);
  }
  ~PlainTable() {
    for (sqlite3_stmt* s : {insert_, begin_, commit_}) sqlite3_finalize(s);
    sqlite3_close(db_);
  }
  PlainTable(const PlainTable&) = delete;
  PlainTable& operator=(const PlainTable&) = delete;

  void begin() { run(begin_); }
  void commit() { run(commit_); }
  void insert(std::int64_t id, const PortionRow& row, std::int64_t stamp) {
    int i = 0;
    for (std::int64_t v : {id, std::int64_t{row.meal}, std::int64_t{row.food}, std::int64_t{row.gross_mg},
                           std::int64_t{row.tare_mg}, std::int64_t{row.left_mg}, stamp, std::int64_t{7}, std::int64_t{3}}) {
      sqlite3_bind_int64(insert_, ++i, v);
    }
    run(insert_);
  }
  // Takes in every row of another file, the later stamp winning: the merge of people who keep no history.
  void merge(const std::string& other) {
    execute("ATTACH '" + other + "' AS other");
    execute("INSERT INTO portion SELECT * FROM other.portion WHERE true ON CONFLICT(id) DO UPDATE SET "
            "gross_mg=excluded.gross_mg, tare_mg=excluded.tare_mg, left_mg=excluded.left_mg, stamp=excluded.stamp, "
            "author=excluded.author, device=excluded.device WHERE excluded.stamp > portion.stamp");
    execute("DETACH other");
  }
  void execute(const std::string& sql) { check(sqlite3_exec(db_, sql.c_str(), nullptr, nullptr, nullptr)); }
  std::int64_t query(const std::string& sql) {
    sqlite3_stmt* s = nullptr;
    prepare(sql, &s);
    sqlite3_step(s);
    const std::int64_t value = sqlite3_column_int64(s, 0);
    sqlite3_finalize(s);
    return value;
  }

 private:
  void check(int code) {
    if (code == SQLITE_OK || code == SQLITE_DONE) return;
    std::fprintf(stderr, "plain SQLite: %s\n", sqlite3_errmsg(db_));
    std::exit(1);
  }
  void prepare(const std::string& sql, sqlite3_stmt** s) { check(sqlite3_prepare_v2(db_, sql.c_str(), -1, s, nullptr)); }
  void run(sqlite3_stmt* s) {
    check(sqlite3_step(s));
    sqlite3_reset(s);
  }
  std::string path_;
  sqlite3* db_ = nullptr;
  sqlite3_stmt *insert_ = nullptr, *begin_ = nullptr, *commit_ = nullptr;
};

}  // namespace wrackline::bench
