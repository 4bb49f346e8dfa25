#include "store/schema.h"

#include <string>

namespace wrackline {
namespace {

// "WRKL": tells our files from other SQLite databases.
constexpr std::int64_t kApplicationId = 0x57524b4c;

constexpr const char* kSchema = R"sql(
-- A place is a number local to this database that names a change and so, maybe, a record:
-- log.no << 24 | seq. It is small where a (log id, seq) would be large, and never leaves the database.

CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value BLOB NOT NULL
) WITHOUT ROWID;

CREATE TABLE log (
  no         INTEGER PRIMARY KEY,
  id         INTEGER NOT NULL UNIQUE,  -- the 64 bits of the log id
  device_key BLOB,                     -- null while nothing of it has arrived but its name
  -- Of the second branch of a log that was continued twice (log/branch.h); null of all others.
  branch_root  INTEGER,
  branch_of    INTEGER,
  branch_after INTEGER,
  branch_base  BLOB,
  branch_first BLOB
);

-- Runs of changes as their authors wrote them. Of the own log, runs without a seal are still being written;
-- sealing packs them into fewer, smaller rows.
CREATE TABLE segment (
  first INTEGER PRIMARY KEY,  -- place of its first change
  count INTEGER NOT NULL,
  chain BLOB NOT NULL,        -- hash chain at its last change, 32 bytes
  seal  BLOB,                 -- the device's signature, 64 bytes
  codec INTEGER NOT NULL,
  body  BLOB NOT NULL,
  marks BLOB                  -- of a sealed run, see log/marks.h; null of one that an earlier form stored
);

CREATE TABLE receipt (
  place     INTEGER PRIMARY KEY,  -- the last change it speaks of
  held_ms   INTEGER NOT NULL,
  head      INTEGER NOT NULL,
  signature BLOB NOT NULL
);

-- Where each record is found: all records, edited or not.
CREATE TABLE key (
  subject INTEGER NOT NULL,  -- place of the record it belongs to, or 0
  kind    INTEGER NOT NULL,
  day     INTEGER NOT NULL,
  detail  INTEGER NOT NULL,
  record  INTEGER NOT NULL,
  brief   BLOB NOT NULL,     -- a few fields of the record, see KindRow::brief
  PRIMARY KEY (subject, kind, day, detail, record)
) WITHOUT ROWID;

-- Events of everybody in a span of days.
CREATE INDEX key_by_day ON key(kind, day) WHERE day<>0;

-- Merged state of edited records only. A record nobody edited is its birth, read from its segment.
CREATE TABLE record (
  place         INTEGER PRIMARY KEY,
  kind          INTEGER NOT NULL,  -- 0 while only edits have arrived
  fields        BLOB NOT NULL,
  disagreements BLOB NOT NULL
);

CREATE TABLE edit (
  record INTEGER NOT NULL,
  change INTEGER NOT NULL,
  PRIMARY KEY (record, change)
) WITHOUT ROWID;

-- Records a person should look at. For a double entry, every record of the group has a row.
CREATE TABLE review (
  rule   INTEGER NOT NULL,
  record INTEGER NOT NULL,
  PRIMARY KEY (rule, record)
) WITHOUT ROWID;

-- Changes out of account, by the hold records in account (see hold_table.h).
CREATE TABLE held (
  hold  INTEGER PRIMARY KEY,  -- place of the record that says so
  first INTEGER NOT NULL,
  last  INTEGER NOT NULL
);
)sql";

Result<std::int64_t> pragma(Database& database, const char* name) {
  Statement statement(database, std::string("PRAGMA ") + name);
  WRACKLINE_TRY_VALUE(row, statement.step());
  return row ? statement.integer(0) : 0;
}

}  // namespace

Status create_schema(Database& database) {
  WRACKLINE_TRY(database.execute("PRAGMA application_id=" + std::to_string(kApplicationId)));
  WRACKLINE_TRY(database.execute("PRAGMA user_version=" + std::to_string(kSchemaVersion)));
  return database.execute(kSchema);
}

Status check_schema(Database& database) {
  WRACKLINE_TRY_VALUE(application, pragma(database, "application_id"));
  if (application != kApplicationId) {
    return fail(ErrorCode::kMalformed,
                "opening the records: the file is not a Wrackline database; it was left as it is; check the path");
  }
  WRACKLINE_TRY_VALUE(version, pragma(database, "user_version"));
  if (version > kSchemaVersion) {
    return fail(ErrorCode::kNewerDatabase,
                "opening the records: a newer release wrote this database (form " + std::to_string(version) +
                    ", this release knows " + std::to_string(kSchemaVersion) +
                    "); it was left untouched; update this program");
  }
  return {};
}

Status migrate_schema(Database& database) {
  WRACKLINE_TRY(check_schema(database));
  WRACKLINE_TRY_VALUE(version, pragma(database, "user_version"));
  if (version == kSchemaVersion) return {};
  WRACKLINE_TRY_VALUE(transaction, Transaction::begin(database));
  // Another process may have brought it forward meanwhile.
  WRACKLINE_TRY_VALUE(now, pragma(database, "user_version"));
  if (now < 2) WRACKLINE_TRY(database.execute("ALTER TABLE segment ADD COLUMN marks BLOB"));
  WRACKLINE_TRY(database.execute("PRAGMA user_version=" + std::to_string(kSchemaVersion)));
  return transaction.commit();
}

}  // namespace wrackline
