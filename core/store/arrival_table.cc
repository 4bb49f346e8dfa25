#include "store/arrival_table.h"

#include <algorithm>

namespace wrackline {

ArrivalTable::ArrivalTable(Database& database, LogTable& logs)
    : logs_(logs),
      database_(database),
      insert_(database, "INSERT OR IGNORE INTO arrival VALUES(?,?,?,?,?)"),
      from_(database, "SELECT entry,first,last,held_ms FROM arrival WHERE teller=? AND last>=? AND last<=? ORDER BY last,entry"),
      back_(database, "SELECT entry,last FROM arrival WHERE teller=? AND last>=? AND last<=? ORDER BY last DESC,entry DESC") {}

Status ArrivalTable::clear() { return database_.execute("DELETE FROM arrival"); }

Status ArrivalTable::take(Place entry, const Change& change) {
  if (change.kind != kArrivalKind) return {};  // A newer hub may write other kinds here.
  for (const ArrivedSpan& span : arrived_spans(change.fields)) {
    WRACKLINE_TRY_VALUE(log, logs_.intern(span.log));
    WRACKLINE_TRY(insert_
                      .with(log_no_of(entry), place_of(log->no, span.last), entry, place_of(log->no, span.first), change.entered_ms())
                      .run());
  }
  return {};
}

std::vector<LogNo> ArrivalTable::arrival_logs() const {
  std::vector<LogNo> out;
  for (const auto& [id, log] : logs_.all()) {
    if (log.is_arrivals() && log.head.seq > log.base()) out.push_back(log.no);
  }
  return out;
}

bool ArrivalTable::is_word_of(const HubLineage& hub, Place entry) const {
  const LogEntry* log = logs_.find(logs_.id_of(entry).log);
  return log != nullptr && !log->branch && hub.speaks(*log, seq_of(entry));
}

// One log of arrivals tells of the changes of a branch in their order and of each once, so the first entry that reaches the
// change says whether that log tells of it.
Result<std::optional<ArrivalRow>> ArrivalTable::covering(Place change, const HubLineage& hub) {
  const LogEntry* log = logs_.find(logs_.id_of(change).log);
  std::optional<ArrivalRow> earliest;
  for (const LogNo teller : arrival_logs()) {
    Statement& rows = from_.with(teller, change, place_of(log_no_of(change), kSeqMax));
    for (;;) {
      WRACKLINE_TRY_VALUE(is_row, rows.step());
      if (!is_row) break;
      const ArrivalRow found{rows.integer(0), rows.integer(1), rows.integer(2), static_cast<WallMs>(rows.integer(3))};
      WRACKLINE_TRY_VALUE(is_of_another, is_of_another_branch(*log, found));
      if (is_of_another) continue;
      const bool tells = found.first <= change && is_word_of(hub, found.entry);
      if (tells && (!earliest || found.held_ms < earliest->held_ms)) earliest = found;
      break;
    }
    rows.reset();
  }
  return earliest;
}

Result<Seq> ArrivalTable::told_of(const LogEntry& log, const HubLineage& hub) {
  Seq out = log.base();
  for (const LogNo teller : arrival_logs()) {
    Statement& rows = back_.with(teller, place_of(log.no, 1), place_of(log.no, kSeqMax));
    for (;;) {
      WRACKLINE_TRY_VALUE(is_row, rows.step());
      if (!is_row) break;
      ArrivalRow found;
      found.entry = rows.integer(0);
      found.last = rows.integer(1);
      WRACKLINE_TRY_VALUE(is_of_another, is_of_another_branch(log, found));
      if (is_of_another) continue;
      if (is_word_of(hub, found.entry)) out = std::max(out, seq_of(found.last));
      break;
    }
    rows.reset();
  }
  return out;
}

Result<bool> ArrivalTable::tells(const LogEntry& log, Seq last, const Hash& root, const HubLineage& hub) {
  WRACKLINE_TRY_VALUE(rows, about(log, last - 1));
  for (const ArrivalRow& row : rows) {
    if (seq_of(row.last) != last || !is_word_of(hub, row.entry)) continue;
    WRACKLINE_TRY_VALUE(bytes, logs_.bytes_of(row.entry));
    WRACKLINE_TRY_VALUE(entry, read_change(bytes));
    const std::vector<ArrivedSpan> spans = arrived_spans(entry.fields);
    if (std::none_of(spans.begin(), spans.end(), [&](const ArrivedSpan& s) { return s.log == log.id && s.last == last && s.root == root; })) continue;
    WRACKLINE_TRY_VALUE(is_missing, is_missing_of_hub(hub, row.entry));
    if (!is_missing) return true;
  }
  return false;
}

Result<bool> ArrivalTable::is_missing_of_hub(const HubLineage& hub, Place entry) {
  for (const auto& [id, log] : logs_.all()) {
    // A key that the hub uses no more seals nothing behind its end that anybody holds to, so no hold can be missing there.
    if (!log.opening || log.is_arrivals() || log.head.seq >= hub.reach(id, log.opening->device)) continue;
    Statement& rows = from_.with(log_no_of(entry), place_of(log.no, log.head.seq + 1), place_of(log.no, kSeqMax));
    for (;;) {
      WRACKLINE_TRY_VALUE(is_row, rows.step());
      if (!is_row) break;
      if (rows.integer(0) > entry) continue;
      rows.reset();
      return true;
    }
    rows.reset();
  }
  return false;
}

Result<bool> ArrivalTable::is_of_another_branch(const LogEntry& log, const ArrivalRow& row) {
  if (!logs_.has_branches()) return false;
  const std::vector<const LogEntry*> branches = logs_.sealed_under(log.sealed_as());
  if (branches.size() < 2) return false;
  const auto bytes = logs_.bytes_of(row.entry);
  const auto entry = bytes ? read_change(*bytes) : Result<Change>(fail(bytes.error()));
  if (!entry) return false;
  const Seq last = seq_of(row.last);
  for (const ArrivedSpan& span : arrived_spans(entry->fields)) {
    if (span.log != log.id || span.last != last) continue;
    const auto holds = [&](const LogEntry& branch) -> Result<bool> {
      if (last < branch.base() || last > branch.head.seq) return false;
      WRACKLINE_TRY_VALUE(tree, logs_.tree_at(branch, last));
      return tree.root() == span.root;
    };
    WRACKLINE_TRY_VALUE(is_of_this, holds(log));
    if (is_of_this) return false;
    for (const LogEntry* branch : branches) {
      if (branch->id == log.id) continue;
      WRACKLINE_TRY_VALUE(is_of_that, holds(*branch));
      if (is_of_that) return true;
    }
  }
  return false;
}

Result<std::vector<ArrivalRow>> ArrivalTable::about(const LogEntry& log, Seq after) {
  std::vector<ArrivalRow> out;
  for (const LogNo teller : arrival_logs()) {
    Statement& rows = from_.with(teller, place_of(log.no, after + 1), place_of(log.no, kSeqMax));
    for (;;) {
      WRACKLINE_TRY_VALUE(row, rows.step());
      if (!row) break;
      out.push_back({rows.integer(0), rows.integer(1), rows.integer(2), static_cast<WallMs>(rows.integer(3))});
    }
    rows.reset();
  }
  std::stable_sort(out.begin(), out.end(), [](const ArrivalRow& a, const ArrivalRow& b) { return a.last < b.last; });
  return out;
}

}  // namespace wrackline
