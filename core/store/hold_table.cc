#include "store/hold_table.h"

#include <algorithm>
#include <utility>

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

HoldTable::HoldTable(Database& database, const LogTable& logs, std::function<bool(Place)> is_of_hub)
    : put_(database, "INSERT OR REPLACE INTO held VALUES(?,?,?,?)"),
      database_(database),
      logs_(logs),
      is_of_hub_(std::move(is_of_hub)) {}

Status HoldTable::reload() {
  holds_.clear();
  hold_of_edit_.clear();
  Statement rows(database_, "SELECT hold,stamp,first,last FROM held");
  for (;;) {
    WRACKLINE_TRY_VALUE(row, rows.step());
    if (!row) break;
    holds_[rows.integer(0)] = {Stamp{static_cast<std::uint64_t>(rows.integer(1))}, {rows.integer(2), rows.integer(3)}};
  }
  Statement edits(database_, "SELECT edit.change,edit.record FROM held CROSS JOIN edit ON edit.record=held.hold");
  for (;;) {
    WRACKLINE_TRY_VALUE(row, edits.step());
    if (!row) break;
    add_edit(edits.integer(0), edits.integer(1));
  }
  merge();
  return {};
}

Status HoldTable::clear() {
  holds_.clear();
  hold_of_edit_.clear();
  merged_.clear();
  return database_.execute("DELETE FROM held");
}

bool HoldTable::is_held(Place change) const {
  if (merged_.empty()) return false;
  const auto after = std::upper_bound(merged_.begin(), merged_.end(), change,
                                      [](Place place, const HeldRange& range) { return place < range.first; });
  if (after == merged_.begin() || change > (after - 1)->last) return false;
  if (is_of_hub_(change)) return false;
  const auto edit = hold_of_edit_.find(change);
  if (edit == hold_of_edit_.end()) return true;
  const HoldOrder edited = order_of(edit->second);
  return std::any_of(holds_.begin(), holds_.end(), [&](const auto& each) {
    return each.second.range.has(change) && edited < order_of(each.first);
  });
}

const HeldRange* HoldTable::find(Place hold) const {
  const auto it = holds_.find(hold);
  return it == holds_.end() || it->second.range.first == 0 ? nullptr : &it->second.range;
}

HoldOrder HoldTable::order_of(Place hold) const { return {holds_.at(hold).stamp, logs_.id_of(hold)}; }

Status HoldTable::add(Place hold, Stamp stamp) {
  holds_.try_emplace(hold, Hold{stamp, {}});
  return put_.with(hold, stamp.value, 0, 0).run();
}

Status HoldTable::put(Place hold, const HeldRange& range) {
  Hold& known = holds_.at(hold);
  const bool is_more = known.range.first == 0;
  known.range = range;
  if (is_more && range.first != 0) {
    add_range(merged_, range);
  } else {
    merge();
  }
  return put_.with(hold, known.stamp.value, range.first, range.last).run();
}

void HoldTable::merge() {
  merged_.clear();
  for (const auto& [place, hold] : holds_) {
    if (hold.range.first != 0) add_range(merged_, hold.range);
  }
}

}  // namespace wrackline
