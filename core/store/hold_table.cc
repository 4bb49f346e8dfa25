#include "store/hold_table.h"

#include <algorithm>

namespace wrackline {
namespace {

// Adds a range to ranges that are sorted and apart from each other. Most lie behind the last or right after one, so
// that holding a long log costs as much as it has changes.
void add_range(std::vector<HeldRange>& ranges, HeldRange range) {
  // The first that reaches the new one or lies behind it, and the first that lies clear behind it.
  const auto first = std::lower_bound(ranges.begin(), ranges.end(), range.first,
                                      [](const HeldRange& r, Place place) { return r.last + 1 < place; });
  auto end = first;
  for (; end != ranges.end() && end->first <= range.last + 1; ++end) {
    range.first = std::min(range.first, end->first);
    range.last = std::max(range.last, end->last);
  }
  if (first == end) {
    ranges.insert(first, range);
  } else {
    *first = range;
    ranges.erase(first + 1, end);
  }
}

}  // namespace

HoldTable::HoldTable(Database& database)
    : put_(database, "INSERT OR REPLACE INTO held VALUES(?,?,?)"),
      erase_(database, "DELETE FROM held WHERE hold=?"),
      database_(database) {}

Status HoldTable::reload() {
  by_hold_.clear();
  expected_.clear();
  Statement rows(database_, "SELECT hold,first,last FROM held");
  for (;;) {
    WRACKLINE_TRY_VALUE(row, rows.step());
    if (!row) break;
    by_hold_[rows.integer(0)] = {rows.integer(1), rows.integer(2)};
  }
  merge();
  return {};
}

Status HoldTable::clear() {
  by_hold_.clear();
  expected_.clear();
  merged_.clear();
  return database_.execute("DELETE FROM held");
}

bool HoldTable::is_held(Place change) const {
  if (merged_.empty()) return false;
  const auto after = std::upper_bound(merged_.begin(), merged_.end(), change,
                                      [](Place place, const HeldRange& range) { return place < range.first; });
  return after != merged_.begin() && change <= (after - 1)->last;
}

const HeldRange* HoldTable::find(Place hold) const {
  const auto it = by_hold_.find(hold);
  return it == by_hold_.end() ? nullptr : &it->second;
}

Status HoldTable::put(Place hold, const HeldRange& range) {
  const bool is_new = by_hold_.insert_or_assign(hold, range).second;
  if (is_new) {
    add_range(merged_, range);
  } else {
    merge();
  }
  return put_.with(hold, range.first, range.last).run();
}

Status HoldTable::erase(Place hold) {
  by_hold_.erase(hold);
  merge();
  return erase_.with(hold).run();
}

void HoldTable::expect(Place change) {
  expected_.push_back(change);
  add_range(merged_, {change, change});
}

void HoldTable::stop_expecting() {
  expected_.clear();
  merge();
}

void HoldTable::merge() {
  merged_.clear();
  for (const auto& [hold, range] : by_hold_) add_range(merged_, range);
  for (const Place place : expected_) add_range(merged_, {place, place});
}

}  // namespace wrackline
