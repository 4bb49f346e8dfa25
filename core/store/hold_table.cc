#include "store/hold_table.h"

#include <algorithm>

namespace wrackline {

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
  by_hold_[hold] = range;
  merge();
  return put_.with(hold, range.first, range.last).run();
}

Status HoldTable::erase(Place hold) {
  by_hold_.erase(hold);
  merge();
  return erase_.with(hold).run();
}

void HoldTable::expect(Place change) {
  expected_.push_back(change);
  merge();
}

void HoldTable::stop_expecting() {
  expected_.clear();
  merge();
}

void HoldTable::merge() {
  std::vector<HeldRange> all;
  for (const auto& [hold, range] : by_hold_) all.push_back(range);
  for (const Place place : expected_) all.push_back({place, place});
  std::sort(all.begin(), all.end(), [](const HeldRange& a, const HeldRange& b) { return a.first < b.first; });
  merged_.clear();
  for (const HeldRange& range : all) {
    if (!merged_.empty() && range.first <= merged_.back().last + 1) {
      merged_.back().last = std::max(merged_.back().last, range.last);
    } else {
      merged_.push_back(range);
    }
  }
}

}  // namespace wrackline
