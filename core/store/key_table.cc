#include "store/key_table.h"

#include <algorithm>
#include <string>

namespace wrackline {
namespace {

constexpr std::size_t kRowsAtOnce = 64;  // 5 parameters each, far below SQLite's limit of 32766.

std::string insert_many_sql() {
  std::string sql = "INSERT INTO key VALUES(?,?,?,?,?)";
  for (std::size_t i = 1; i < kRowsAtOnce; ++i) sql += ",(?,?,?,?,?)";
  return sql;
}

}  // namespace

KeyTable::KeyTable(Database& database)
    : insert_one_(database, "INSERT INTO key VALUES(?,?,?,?,?)"),
      insert_many_(database, insert_many_sql()),
      erase_(database, "DELETE FROM key WHERE subject=? AND kind=? AND day=? AND detail=? AND record=?"),
      clear_(database, "DELETE FROM key"),
      details_(database, "SELECT detail FROM key WHERE subject=? AND kind=? AND day=?"),
      members_(database, "SELECT record FROM key WHERE subject=? AND kind=? AND day=? AND detail=?"),
      find_(database, "SELECT record FROM key WHERE subject=? AND kind=? AND day BETWEEN ? AND ?"),
      find_all_(database, "SELECT record FROM key WHERE kind=? AND day BETWEEN ? AND ? ORDER BY day,subject,detail,record") {}

Status KeyTable::insert(const Key& key, Place record) {
  if (last_ && last_->key.is_beside(key)) last_->details.push_back(key.detail);
  pending_.emplace_back(key, record);
  if (pending_.size() < kRowsAtOnce) return {};
  insert_many_.reset();
  int at = 0;
  for (const auto& [k, place] : pending_) {
    insert_many_.bind(++at, k.subject);
    insert_many_.bind(++at, k.kind);
    insert_many_.bind(++at, k.day);
    insert_many_.bind(++at, k.detail);
    insert_many_.bind(++at, place);
  }
  pending_.clear();
  return insert_many_.run();
}

Status KeyTable::clear() {
  forget();
  return clear_.run();
}

Status KeyTable::flush() {
  for (const auto& [key, place] : pending_) {
    WRACKLINE_TRY(insert_one_.with(key.subject, key.kind, key.day, key.detail, place).run());
  }
  pending_.clear();
  return {};
}

void KeyTable::forget() {
  pending_.clear();
  last_.reset();
}

Status KeyTable::erase(const Key& key, Place record) {
  WRACKLINE_TRY(flush());
  last_.reset();
  return erase_.with(key.subject, key.kind, key.day, key.detail, record).run();
}

Result<bool> KeyTable::has(const Key& key) {
  if (!last_ || !last_->key.is_beside(key)) {
    WRACKLINE_TRY_VALUE(details, details_.with(key.subject, key.kind, key.day).integers());
    for (const auto& [pending, place] : pending_) {
      if (pending.is_beside(key)) details.push_back(pending.detail);
    }
    last_ = Beside{key, std::move(details)};
  }
  return std::find(last_->details.begin(), last_->details.end(), key.detail) != last_->details.end();
}

Result<std::vector<Place>> KeyTable::members(const Key& key) {
  // Without a flush: edits whose births come in ask this, and would break the inserts into small pieces.
  WRACKLINE_TRY_VALUE(found, members_.with(key.subject, key.kind, key.day, key.detail).integers());
  for (const auto& [pending, place] : pending_) {
    if (pending == key) found.push_back(place);
  }
  std::sort(found.begin(), found.end());
  return found;
}

Result<std::vector<Place>> KeyTable::find(Place subject, Kind kind, Day first_day, Day last_day) {
  WRACKLINE_TRY(flush());
  return find_.with(subject, static_cast<std::uint32_t>(kind), first_day, last_day).integers();
}

Result<std::vector<Place>> KeyTable::find_all_subjects(Kind kind, Day first_day, Day last_day) {
  WRACKLINE_TRY(flush());
  return find_all_.with(static_cast<std::uint32_t>(kind), first_day, last_day).integers();
}

}  // namespace wrackline
