#include "store/schema.h"

#include "store/former_logs.h"

#include <string>

namespace wrackline {
namespace {

// "WRKL": tells our files from other SQLite databases.
constexpr std::int64_t kApplicationId = 0x57524b4c;

constexpr const char* kMeta = R"sql(
CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value BLOB NOT NULL
) WITHOUT ROWID;
)sql";

constexpr const char* kLogs = R"sql(
-- A place is a number local to this database that names a change and so, maybe, a record:
-- log.no << 24 | seq. It is small where a (log id, seq) would be large, and never leaves the database.

CREATE TABLE log (
  no      INTEGER PRIMARY KEY,
  id      INTEGER NOT NULL UNIQUE,  -- the 64 bits of the log id
  opening BLOB,                     -- log/seal.h; null while nothing of it has arrived but its name
  start   BLOB,                     -- size (8 bytes) and right edge of the tree before its first change here; null from the first on
  seal    BLOB,                     -- the newest seal, log/seal.h
  -- Of the second branch of a log that was continued twice (log/branch.h); null of all others.
  branch_root  INTEGER,
  branch_of    INTEGER,
  branch_first BLOB
);

-- Runs of changes as their authors wrote them. Of the own log, those behind the seal are still being written;
-- sealing packs them into fewer, smaller rows.
CREATE TABLE segment (
  first INTEGER PRIMARY KEY,  -- place of its first change
  count INTEGER NOT NULL,
  tree  BLOB NOT NULL,        -- right edge of the log's tree at its last change, log/merkle_tree.h
  codec INTEGER NOT NULL,
  body  BLOB NOT NULL,
  marks BLOB NOT NULL         -- log/marks.h
);

-- 256 leaves of a log each.
CREATE TABLE block (
  first INTEGER PRIMARY KEY,  -- place of its first change
  seed  BLOB NOT NULL,        -- 16 bytes from which the salts of its leaves come, log/leaf.h
  root  BLOB                  -- null until it is full
);

)sql";

constexpr const char* kHubSecrets = R"sql(
-- What only hubs know, see store/hub_secrets.h; empty on devices.
CREATE TABLE hub_secret (
  name   TEXT PRIMARY KEY,
  set_ms INTEGER NOT NULL,
  value  BLOB NOT NULL,
  shared INTEGER NOT NULL    -- 1: the log that hubs share holds it
) WITHOUT ROWID;

)sql";

constexpr const char* kArrivals = R"sql(
-- When the hub came to hold which changes of a log, by its logs of arrivals.
CREATE TABLE arrival (
  teller  INTEGER NOT NULL,   -- number of the log of arrivals that says so
  last    INTEGER NOT NULL,   -- place of the last change that came
  entry   INTEGER NOT NULL,   -- place of the change in the log of arrivals
  first   INTEGER NOT NULL,   -- place of the first change that came
  held_ms INTEGER NOT NULL,   -- by the hub's clock
  PRIMARY KEY (teller, last, entry)
) WITHOUT ROWID;

)sql";

constexpr const char* kRecords = R"sql(
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
-- Plans, orders and the like of everybody. Portions (9) have no day either, are most of the rows, and are asked for by meal.
CREATE INDEX key_without_day ON key(kind) WHERE day=0 AND kind<>9;

-- Births of device records that name a key of the hub, whoever wrote them, in account or not: who the hub is must not depend
-- on what it holds.
CREATE TABLE hub_key (
  record INTEGER PRIMARY KEY
);

-- Merged state of edited records only. A record nobody edited is its birth, read from its segment.
CREATE TABLE record (
  place         INTEGER PRIMARY KEY,
  kind          INTEGER NOT NULL,  -- 0 while only edits have arrived
  fields        BLOB NOT NULL,
  disagreements BLOB NOT NULL
);

-- Looked for whenever the database is opened.
CREATE INDEX record_unborn ON record(place) WHERE kind=0;

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

-- The hub's holds and the changes they take out of account (see hold_table.h).
CREATE TABLE held (
  hold  INTEGER PRIMARY KEY,  -- place of the record that says so
  stamp INTEGER NOT NULL,     -- of its birth
  first INTEGER NOT NULL,     -- 0, as last: it takes nothing out, by an officer's word
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
  for (const char* part : {kMeta, kLogs, kHubSecrets, kArrivals, kRecords}) WRACKLINE_TRY(database.execute(part));
  return {};
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
  if (now < 3) {
    WRACKLINE_TRY(database.execute(
        "ALTER TABLE log RENAME TO former_log; ALTER TABLE segment RENAME TO former_segment; ALTER TABLE receipt RENAME TO former_receipt"));
    // The projections carry no mark of this release, so they are made anew when the database is opened (Store::open).
    WRACKLINE_TRY(database.execute("DROP TABLE key; DROP TABLE record; DROP TABLE edit; DROP TABLE review; DROP TABLE held"));
    for (const char* part : {kLogs, kArrivals, kRecords}) WRACKLINE_TRY(database.execute(part));
    WRACKLINE_TRY(bring_over_former_logs(database));
  }
  if (now < 4) WRACKLINE_TRY(database.execute(kHubSecrets));
  WRACKLINE_TRY(database.execute("PRAGMA user_version=" + std::to_string(kSchemaVersion)));
  return transaction.commit();
}

}  // namespace wrackline
