#include "store/key_table.h"

#include <algorithm>
#include <limits>
#include <string>
#include <utility>

namespace wrackline {
namespace {

constexpr std::size_t kBareMax = 4096;  // A few hundred animals, and the days of some weeks.
// The table keeps this many details of one subject, kind and day at hand: a meal's portions, a day's usual meals.
constexpr std::size_t kDetailsMost = 16;
constexpr std::size_t kRowsAtOnce = 64;  // 6 parameters each, far below SQLite's limit of 32766.

std::string insert_many_sql() {
  std::string sql = "INSERT INTO key VALUES(?,?,?,?,?,?)";
  for (std::size_t i = 1; i < kRowsAtOnce; ++i) sql += ",(?,?,?,?,?,?)";
  return sql;
}

Result<std::vector<KeyRow>> read_rows(Statement& rows, std::uint32_t kind) {
  std::vector<KeyRow> out;
  for (;;) {
    WRACKLINE_TRY_VALUE(more, rows.step());
    if (!more) return out;
    const Key key{rows.integer(0), kind, static_cast<Day>(rows.integer(1)), rows.integer(2)};
    out.push_back({key, rows.integer(3), Bytes(rows.blob(4))});
  }
}

}  // namespace

KeyTable::KeyTable(Database& database)
    : insert_one_(database, "INSERT INTO key VALUES(?,?,?,?,?,?)"),
      insert_many_(database, insert_many_sql()),
      erase_(database, "DELETE FROM key WHERE subject=? AND kind=? AND day=? AND detail=? AND record=?"),
      clear_(database, "DELETE FROM key"),
      details_(database, "SELECT detail FROM key WHERE subject=? AND kind=? AND day=? LIMIT " + std::to_string(kDetailsMost + 1)),
      is_there_(database, "SELECT 1 FROM key WHERE subject=? AND kind=? AND day=? AND detail=? LIMIT 1"),
      members_(database, "SELECT record FROM key WHERE subject=? AND kind=? AND day=? AND detail=?"),
      find_(database, "SELECT record FROM key WHERE subject=? AND kind=? AND day BETWEEN ? AND ?"),
      find_portions_(database, "SELECT record FROM key WHERE kind=9 AND day=0 ORDER BY subject,detail,record"),
      // Each as the index says it.
      find_without_day_(database, "SELECT record FROM key WHERE kind=? AND day=0 AND kind<>9 ORDER BY subject,detail,record"),
      find_by_day_(database,
                   "SELECT record FROM key WHERE kind=? AND day BETWEEN ? AND ? AND day<>0 ORDER BY day,subject,detail,record"),
      rows_(database, "SELECT subject,day,detail,record,brief FROM key WHERE subject=? AND kind=? AND day BETWEEN ? AND ?"),
      rows_of_(database, "SELECT kind,day,detail,record FROM key WHERE subject=?"),
      rows_via_(database,
                "SELECT p.subject,p.day,p.detail,p.record,p.brief FROM key AS via CROSS JOIN key AS p "
                "ON p.subject=via.record AND p.kind=?5 WHERE via.subject=?1 AND via.kind=?2 AND via.day BETWEEN ?3 AND ?4") {}

Status KeyTable::insert(const Key& key, Place record, Bytes brief) {
  if (last_ && last_->key.is_beside(key)) {
    last_->details.push_back(key.detail);
    if (last_->details.size() > kDetailsMost) last_.reset();
  }
  if (!bare_.empty()) {
    auto it = bare_.lower_bound({key.subject, key.kind, std::numeric_limits<Day>::min(), std::numeric_limits<Day>::min()});
    while (it != bare_.end() && std::get<0>(*it) == key.subject && std::get<1>(*it) == key.kind) it = bare_.erase(it);
  }
  pending_.push_back({key, record, std::move(brief)});
  if (pending_.size() < kRowsAtOnce) return {};
  insert_many_.reset();
  int at = 0;
  for (const KeyRow& row : pending_) {
    insert_many_.bind(++at, row.key.subject);
    insert_many_.bind(++at, row.key.kind);
    insert_many_.bind(++at, row.key.day);
    insert_many_.bind(++at, row.key.detail);
    insert_many_.bind(++at, row.record);
    insert_many_.bind(++at, ByteView(row.brief));
  }
  const Status status = insert_many_.run();
  pending_.clear();  // Its bytes were bound as they lay here.
  return status;
}

Status KeyTable::clear() {
  forget();
  return clear_.run();
}

Status KeyTable::flush() {
  for (const auto& [key, place, brief] : pending_) {
    WRACKLINE_TRY(insert_one_.with(key.subject, key.kind, key.day, key.detail, place, ByteView(brief)).run());
  }
  pending_.clear();
  return {};
}

void KeyTable::forget() {
  pending_.clear();
  last_.reset();
  bare_.clear();
}

Status KeyTable::erase(const Key& key, Place record) {
  WRACKLINE_TRY(flush());
  last_.reset();
  return erase_.with(key.subject, key.kind, key.day, key.detail, record).run();
}

Result<bool> KeyTable::has(const Key& key) {
  if (!last_ || !last_->key.is_beside(key)) {
    WRACKLINE_TRY_VALUE(details, details_.with(key.subject, key.kind, key.day).integers());
    for (const KeyRow& row : pending_) {
      if (row.key.is_beside(key)) details.push_back(row.key.detail);
    }
    if (details.size() > kDetailsMost) {
      WRACKLINE_TRY_VALUE(is_stored, is_there_.with(key.subject, key.kind, key.day, key.detail).step());
      is_there_.reset();
      return is_stored || std::any_of(pending_.begin(), pending_.end(), [&](const KeyRow& row) { return row.key == key; });
    }
    last_ = Beside{key, std::move(details)};
  }
  return std::find(last_->details.begin(), last_->details.end(), key.detail) != last_->details.end();
}

Result<std::vector<Place>> KeyTable::members(const Key& key) {
  // Without a flush: edits whose births come in ask this, and would break the inserts into small pieces.
  WRACKLINE_TRY_VALUE(found, members_.with(key.subject, key.kind, key.day, key.detail).integers());
  for (const KeyRow& row : pending_) {
    if (row.key == key) found.push_back(row.record);
  }
  std::sort(found.begin(), found.end());
  return found;
}

Result<std::vector<Place>> KeyTable::find(Place subject, Kind kind, Day first_day, Day last_day) {
  const Span span{subject, static_cast<std::uint32_t>(kind), first_day, last_day};
  if (bare_.count(span) != 0) return std::vector<Place>();
  WRACKLINE_TRY(flush());
  WRACKLINE_TRY_VALUE(found, find_.with(subject, static_cast<std::uint32_t>(kind), first_day, last_day).integers());
  if (found.empty()) {
    if (bare_.size() >= kBareMax) bare_.clear();
    bare_.insert(span);
  }
  return found;
}

Result<std::vector<Place>> KeyTable::find_all_subjects(Kind kind, Day first_day, Day last_day) {
  WRACKLINE_TRY(flush());
  const auto number = static_cast<std::uint32_t>(kind);
  std::vector<Place> out;
  const auto add = [&out](Statement& find) -> Status {
    WRACKLINE_TRY_VALUE(found, find.integers());
    out.insert(out.end(), found.begin(), found.end());
    return {};
  };
  if (first_day < 0) WRACKLINE_TRY(add(find_by_day_.with(number, first_day, std::min(last_day, -1))));
  if (first_day <= 0 && last_day >= 0) {
    WRACKLINE_TRY(add(kind == Kind::kPortion ? find_portions_.with() : find_without_day_.with(number)));
  }
  if (last_day > 0) WRACKLINE_TRY(add(find_by_day_.with(number, std::max(first_day, 1), last_day)));
  return out;
}

Result<std::vector<KeyRow>> KeyTable::rows(Place subject, Kind kind, Day first_day, Day last_day) {
  WRACKLINE_TRY(flush());
  const auto number = static_cast<std::uint32_t>(kind);
  return read_rows(rows_.with(subject, number, first_day, last_day), number);
}

Result<std::vector<KeyRow>> KeyTable::rows_of(Place subject) {
  WRACKLINE_TRY(flush());
  std::vector<KeyRow> out;
  Statement& rows = rows_of_.with(subject);
  for (;;) {
    WRACKLINE_TRY_VALUE(more, rows.step());
    if (!more) break;
    const Key key{subject, static_cast<std::uint32_t>(rows.integer(0)), static_cast<Day>(rows.integer(1)), rows.integer(2)};
    out.push_back({key, rows.integer(3), {}});
  }
  rows.reset();
  return out;
}

Result<std::vector<KeyRow>> KeyTable::rows_via(Place subject, Kind via, Kind kind, Day first_day, Day last_day) {
  WRACKLINE_TRY(flush());
  const auto number = static_cast<std::uint32_t>(kind);
  return read_rows(rows_via_.with(subject, static_cast<std::uint32_t>(via), first_day, last_day, number), number);
}

}  // namespace wrackline
