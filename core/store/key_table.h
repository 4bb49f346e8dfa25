// Where each record is found: by the record it belongs to, its kind, its husbandry day and a detail of the kind.
//
// A merge inserts a key for every new record, so inserts gather and go to SQLite many at a time. All questions
// see them; flush() must have run when a transaction commits, forget() when it did not.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <tuple>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "model/kinds.h"
#include "store/log_table.h"
#include "store/sqlite.h"

namespace wrackline {

struct Key {
  Place subject = 0;  // 0: belongs to nothing.
  std::uint32_t kind = 0;
  Day day = 0;
  std::int64_t detail = 0;
  // Two keys stand beside each other when subject, kind and day are the same.
  bool is_beside(const Key& other) const { return subject == other.subject && kind == other.kind && day == other.day; }
  friend bool operator<(const Key& a, const Key& b) {
    return std::tie(a.subject, a.kind, a.day, a.detail) < std::tie(b.subject, b.kind, b.day, b.detail);
  }
  friend bool operator==(const Key& a, const Key& b) { return a.is_beside(b) && a.detail == b.detail; }
};

// A row as it stands; `brief` as in RecordKey.
struct KeyRow {
  Key key;
  Place record = 0;
  Bytes brief;
};

class KeyTable {
 public:
  explicit KeyTable(Database& database);

  Status insert(const Key& key, Place record, Bytes brief);
  Status erase(const Key& key, Place record);
  Status clear();
  Status flush();
  void forget();

  // Whether a record has this key. Asked again and again while the portions of one meal come in, so the few there are of
  // the last subject, kind and day are kept; where there are many, each question looks at one row.
  Result<bool> has(const Key& key);
  // Records with the very key, in the order of their places.
  Result<std::vector<Place>> members(const Key& key);
  // In the order day, detail, place. Costs what it finds, but for portions of everybody (each row of the table).
  Result<std::vector<Place>> find(Place subject, Kind kind, Day first_day, Day last_day);
  Result<std::vector<Place>> find_all_subjects(Kind kind, Day first_day, Day last_day);
  // Finds what find() does: the rows themselves.
  Result<std::vector<KeyRow>> rows(Place subject, Kind kind, Day first_day, Day last_day);
  // All that belongs to a record, of every kind, in the order kind, day, detail, place; without `brief`.
  Result<std::vector<KeyRow>> rows_of(Place subject);
  // Rows of `kind` that belong to those records of `via` that belong to `subject`: the portions of an animal's meals.
  Result<std::vector<KeyRow>> rows_via(Place subject, Kind via, Kind kind, Day first_day, Day last_day);

 private:
  struct Beside {
    Key key;
    std::vector<std::int64_t> details;
  };

  Statement insert_one_, insert_many_, erase_, clear_, details_, is_there_, members_, find_, find_portions_, find_without_day_,
      find_by_day_, rows_, rows_of_, rows_via_;
  std::vector<KeyRow> pending_;
  // Where find() found nothing: each new entry asks for limits of its animal and for a close of its day, and mostly there is none.
  using Span = std::tuple<Place, std::uint32_t, Day, Day>;
  std::set<Span> bare_;
  std::optional<Beside> last_;
};

}  // namespace wrackline
