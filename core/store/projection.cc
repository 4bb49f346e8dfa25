#include "store/projection.h"

#include <algorithm>
#include <string>
#include <utility>

#include "base/planted.h"
#include "base/wire.h"

namespace wrackline {

namespace {

constexpr std::uint64_t kProgressEvery = 1 << 14;

}  // namespace

Bytes projection_mark() { return Bytes(view(sha256("wrackline/projections/1", table_text()))); }

Projection::Projection(Database& database, LogTable& logs)
    : database_(database),
      logs_(logs),
      keys_(database),
      holds_(database, logs, [this](Place place) { return is_of_hub(place); }),
      arrivals_(database, logs),
      hub_keys_(database, "SELECT record FROM hub_key ORDER BY record"),
      insert_hub_key_(database, "INSERT OR IGNORE INTO hub_key VALUES(?)"),
      insert_edit_(database, "INSERT INTO edit VALUES(?,?)"),
      delete_edit_(database, "DELETE FROM edit WHERE record=? AND change=?"),
      delete_record_(database, "DELETE FROM record WHERE place=?"),
      edits_(database, "SELECT change FROM edit WHERE record=?"),
      record_(database, "SELECT kind,fields,disagreements FROM record WHERE place=?"),
      put_record_(database, "INSERT OR REPLACE INTO record VALUES(?,?,?,?)"),
      insert_review_(database, "INSERT OR IGNORE INTO review VALUES(?,?)"),
      delete_review_(database, "DELETE FROM review WHERE rule=? AND record=?"),
      review_(database, "SELECT rule,record FROM review") {}

Status Projection::reload(const std::optional<PublicKey>& pinned_hub_key) {
  unborn_.clear();
  drop_pending();
  ++changes_of_all_;
  WRACKLINE_TRY(holds_.reload());
  Statement rows(database_, "SELECT place FROM record WHERE kind=0");
  WRACKLINE_TRY_VALUE(found, rows.integers());
  unborn_.insert(found.begin(), found.end());
  pinned_ = pinned_hub_key;
  hub_ = HubLineage();
  is_settling_ = is_rebuilding_ = false;
  WRACKLINE_TRY(read_hub());
  hub_has_moved_ = false;
  return {};
}

void Projection::drop_pending() {
  awaited_.clear();
  to_fold_.clear();
  holds_to_apply_.clear();
  groups_to_judge_.clear();
  doses_to_judge_.clear();
  histories_.clear();
  keys_.forget();
}

void Projection::note_kind(std::uint32_t kind) {
  if (kind < kKindsMax) ++changes_of_kind_[kind];  // Nobody here keeps anything for kinds of newer releases.
}

Status Projection::apply(Place place, const Change& change) {
  if (is_arrival(place)) return arrivals_.take(place, change);
  if (change.is_birth()) {
    if (change.kind == static_cast<std::uint32_t>(Kind::kDevice)) WRACKLINE_TRY(note_hub_key(place, change));
    WRACKLINE_TRY(holds_.is_held(place) ? fold_early_edits(place) : apply_birth(place, change));
    return claim_edits(place);
  }
  WRACKLINE_TRY(fold_early_edits(place));
  WRACKLINE_TRY_VALUE(record, record_of(change));
  if (!counts_at_all(place, record)) return {};
  WRACKLINE_TRY(insert_edit_.with(record, place).run());
  if (holds_.knows(record)) holds_.add_edit(place, record);
  WRACKLINE_TRY(join_history(record, place));
  return fold_later(record);
}

// Nobody can have seen a later change of the same log: a broken writer's edit, kept in the log and without effect.
bool Projection::counts_at_all(Place edit, Place record) {
  return log_no_of(record) != log_no_of(edit) || record < edit;
}

bool Projection::is_arrival(Place place) const {
  const LogEntry* log = logs_.find(logs_.id_of(place).log);
  return log != nullptr && log->is_arrivals();
}

Result<Place> Projection::record_of(const Change& edit) {
  WRACKLINE_TRY_VALUE(named, logs_.intern_place(edit.record));
  if (!edit.record_check || !logs_.has_branches()) return named;
  for (const LogEntry* log : logs_.sealed_under(edit.record.log)) {
    if (edit.record.seq <= log->base() || edit.record.seq > log->head.seq) continue;
    const Place record = place_of(log->no, edit.record.seq);
    WRACKLINE_TRY_VALUE(check, logs_.check_of(record));
    if (check == *edit.record_check) return record;
  }
  return named;
}

Status Projection::claim_edits(Place birth) {
  const LogEntry* log = logs_.find(logs_.id_of(birth).log);
  if (log == nullptr || !log->branch) return {};
  for (const LogEntry* other : logs_.sealed_under(log->branch->root)) {
    const Place record = place_of(other->no, seq_of(birth));
    if (record == birth) continue;
    WRACKLINE_TRY_VALUE(edits, edits_.with(record).integers());
    for (const Place edit : edits) {
      WRACKLINE_TRY_VALUE(content, logs_.content_of(edit));
      const Bytes bytes(content);
      WRACKLINE_TRY_VALUE(change, read_change(bytes));
      WRACKLINE_TRY_VALUE(means, record_of(change));
      if (means != birth) continue;
      WRACKLINE_TRY(delete_edit_.with(record, edit).run());
      WRACKLINE_TRY(insert_edit_.with(birth, edit).run());
      histories_.erase(record);
      histories_.erase(birth);
      awaited_.push_back(birth);
      WRACKLINE_TRY(fold_later(record));
      WRACKLINE_TRY(fold_later(birth));
    }
  }
  return {};
}

// Edits that came before this change name it. Its check shows whether they were meant for it, though it is held or is no birth.
Status Projection::fold_early_edits(Place place) {
  if (unborn_.count(place) == 0) return {};
  histories_.erase(place);
  awaited_.push_back(place);
  return fold_later(place);
}

Status Projection::apply_birth(Place place, const Change& change) {
  WRACKLINE_TRY(put_birth(place, change));
  return change.kind == static_cast<std::uint32_t>(Kind::kHold) ? add_hold(place, change) : Status();
}

Status Projection::put_birth(Place place, const Change& change) {
  note_kind(change.kind);
  histories_.erase(place);
  if (unborn_.count(place) != 0) {
    awaited_.push_back(place);
    if (!planted("forget-early-edits")) return fold_later(place);
    unborn_.erase(place);
  }
  // An edit would leave the fields in the order of their numbers; kept otherwise, the key would tell that an edit has come and gone.
  const Bytes fields = merged_birth(change.fields);
  WRACKLINE_TRY_VALUE(keyed, key_of(change.kind, fields));
  return insert_key(keyed.key, place, std::move(keyed.brief), fields);
}

Status Projection::fold_later(Place record) {
  if (!to_fold_.insert(record).second) return {};
  if (holds_.knows(record)) holds_to_apply_.insert(holds_.order_of(record));
  if (is_rebuilding_) return {};
  WRACKLINE_TRY_VALUE(kind, kind_of(record));
  note_kind(kind);
  return {};
}

// The kind that a record's birth says, in account or not; 0 when that is not here.
Result<std::uint32_t> Projection::kind_of(Place record) {
  if (const auto known = histories_.find(record); known != histories_.end()) return known->second->folded.kind;
  WRACKLINE_TRY_VALUE(bytes, logs_.content_of(record));
  if (bytes.empty()) return 0u;
  WRACKLINE_TRY_VALUE(change, read_change(bytes));
  return change.kind;
}

Result<Projection::Keyed> Projection::key_of(std::uint32_t kind, ByteView fields) {
  Keyed out;
  out.key.kind = kind;
  const KindRow* row = find_kind(kind);
  if (row == nullptr) return out;
  RecordKey found = record_key(*row, fields);
  WRACKLINE_TRY_VALUE(subject, logs_.intern_place(found.subject));
  out.key.subject = subject;
  out.key.day = found.day;
  out.key.detail = static_cast<std::int64_t>(found.detail);
  if (found.detail_record) {
    WRACKLINE_TRY_VALUE(detail, logs_.intern_place(found.detail_record));
    out.key.detail = detail;
  }
  out.brief = std::move(found.brief);
  return out;
}

Status Projection::insert_key(const Key& key, Place record, Bytes brief, ByteView fields) {
  if (is_judged(key)) {
    WRACKLINE_TRY_VALUE(is_double, keys_.has(key));
    if (is_double || reference_in(fields, kSameAsField)) groups_to_judge_.insert(key);
  }
  note_dose(key);
  return keys_.insert(key, record, std::move(brief));
}

Status Projection::take_out_of_key(const Key& key, Place record) {
  WRACKLINE_TRY(keys_.erase(key, record));
  for (const ReviewRule rule : {ReviewRule::kDoubleEntry, ReviewRule::kFoldAstray, ReviewRule::kDoseOutOfOrder}) {
    WRACKLINE_TRY(set_review(rule, record, false));
  }
  note_dose(key);
  if (is_judged(key)) groups_to_judge_.insert(key);
  return {};
}

// Holds from the latest to the earliest, since a hold decides only about edits of holds before it; then each record once,
// however many of its changes have come.
Status Projection::settle() {
  if (is_settling_ || (to_fold_.empty() && holds_to_apply_.empty())) return {};
  is_settling_ = true;
  const auto all = [this]() -> Status {
    while (!holds_to_apply_.empty()) {
      const HoldOrder latest = *holds_to_apply_.rbegin();
      holds_to_apply_.erase(latest);
      WRACKLINE_TRY(apply_hold(logs_.find_place(latest.id)));
    }
    std::vector<Place> records(to_fold_.begin(), to_fold_.end());
    to_fold_.clear();
    std::sort(records.begin(), records.end());  // Neighbours lie in one run.
    for (const Place record : records) WRACKLINE_TRY(refold(record));
    return {};
  };
  const Status done = all();
  is_settling_ = false;
  return done;
}

Status Projection::flush() {
  WRACKLINE_TRY(settle());
  WRACKLINE_TRY(keys_.flush());
  for (const Key& key : std::exchange(groups_to_judge_, {})) WRACKLINE_TRY(review_group(key));
  for (const auto& [order, day] : std::exchange(doses_to_judge_, {})) WRACKLINE_TRY(review_doses(order, day));
  return {};
}

Result<std::shared_ptr<const FoldedHistory>> Projection::history(Place record) {
  WRACKLINE_TRY(settle());
  if (const auto known = histories_.find(record); known != histories_.end()) {
    return std::shared_ptr<const FoldedHistory>(known->second);
  }
  WRACKLINE_TRY_VALUE(history, read_history(record));
  if (histories_.size() >= kHistoriesMost) histories_.clear();
  if (history->size <= kHistoryBytesMost) histories_[record] = history;
  return std::shared_ptr<const FoldedHistory>(history);
}

Result<std::shared_ptr<FoldedHistory>> Projection::read_history(Place record) {
  WRACKLINE_TRY_VALUE(edits, edits_.with(record).integers());
  std::vector<Place> touching = {record};
  touching.insert(touching.end(), edits.begin(), edits.end());
  auto out = std::make_shared<FoldedHistory>();
  std::vector<FoldInput> inputs;
  WRACKLINE_TRY_VALUE(birth, logs_.bytes_of(record));
  if (!birth.empty()) {
    WRACKLINE_TRY_VALUE(check, logs_.check_of(record));
    out->birth_check = check;
  }
  for (const Place place : touching) {
    WRACKLINE_TRY_VALUE(input, read_input(record, place, *out));
    if (input) inputs.push_back(std::move(*input));
  }
  out->folded = fold(logs_.id_of(record), std::move(inputs));
  ++folds_;
  return out;
}

// None for what has not arrived or is out of account.
Result<std::optional<FoldInput>> Projection::read_input(Place record, Place place, FoldedHistory& history) {
  WRACKLINE_TRY_VALUE(bytes, logs_.bytes_of(place));
  if (bytes.empty() || holds_.is_held(place)) return std::optional<FoldInput>();
  WRACKLINE_TRY_VALUE(check, logs_.check_of(place));
  WRACKLINE_TRY_VALUE(content, logs_.content_of(place));
  history.bytes.emplace_back(content);
  history.size += content.size();
  WRACKLINE_TRY_VALUE(change, read_change(history.bytes.back()));
  // A place that names an edit is no record's birth, whatever an edit may claim.
  if (place == record && !change.is_birth()) return std::optional<FoldInput>();
  // Meant for the record of another branch, which is not here.
  const bool is_of_another = history.birth_check && change.record_check && *change.record_check != *history.birth_check;
  if (is_of_another && !planted("edit-of-another-birth")) return std::optional<FoldInput>();
  return std::optional<FoldInput>({logs_.id_of(place), check, std::move(change)});
}

// An entry after another of one record would else read and fold all that were before it.
Status Projection::join_history(Place record, Place edit) {
  const auto known = histories_.find(record);
  if (known == histories_.end()) return {};
  bool has_joined = false;
  if (known->second.use_count() == 1 && known->second->size <= kHistoryBytesMost) {
    WRACKLINE_TRY_VALUE(input, read_input(record, edit, *known->second));
    has_joined = !input || known->second->folded.add(std::move(*input));
  }
  if (!has_joined) histories_.erase(known);
  return {};
}

Status Projection::refold(Place record) {
  std::optional<Keyed> old_row;  // Its key, if it has one.
  std::uint32_t old_kind = 0;
  if (unborn_.count(record) == 0) {
    WRACKLINE_TRY_VALUE(before, as_projected(record));
    if (before) {
      WRACKLINE_TRY_VALUE(keyed, key_of(before->kind, before->fields));
      old_row = std::move(keyed);
      old_kind = before->kind;
    }
  }
  std::shared_ptr<FoldedHistory> history;
  if (const auto known = histories_.find(record); known != histories_.end()) {
    history = known->second;
  } else {
    WRACKLINE_TRY_VALUE(read, read_history(record));
    history = std::move(read);
  }
  const Folded& folded = history->folded;
  const Bytes fields = folded.merged();
  const Bytes disagreements = folded.disagreements();
  WRACKLINE_TRY_VALUE(edits, edits_.with(record).integers());
  // A record whose only edits turned out to mean another one is one that nobody edited.
  WRACKLINE_TRY(edits.empty() ? delete_record_.with(record).run()
                              : put_record_.with(record, folded.kind, ByteView(fields), ByteView(disagreements)).run());
  WRACKLINE_TRY(set_review(ReviewRule::kDisagreement, record, folded.kind != 0 && !disagreements.empty()));
  note_kind(folded.kind);
  if (folded.kind == 0) {
    if (edits.empty()) {
      unborn_.erase(record);
    } else {
      unborn_.insert(record);
    }
    if (!old_row) return {};
    note_kind(old_kind);
    return take_out_of_key(old_row->key, record);
  }
  unborn_.erase(record);
  WRACKLINE_TRY_VALUE(new_row, key_of(folded.kind, fields));
  const bool is_moved = !old_row || !(old_row->key == new_row.key);
  if (is_moved || old_row->brief != new_row.brief) {
    if (old_row && is_moved) WRACKLINE_TRY(take_out_of_key(old_row->key, record));
    if (old_row && !is_moved) WRACKLINE_TRY(keys_.erase(old_row->key, record));
    WRACKLINE_TRY(keys_.insert(new_row.key, record, std::move(new_row.brief)));
  }
  note_dose(new_row.key);
  if (is_judged(new_row.key) && !planted("review-not-redone")) groups_to_judge_.insert(new_row.key);
  return {};
}

// The record as its row in the tables has it, or its birth alone, in account or not; none while it is not born.
Result<std::optional<RecordState>> Projection::as_projected(Place record) {
  Statement& row = record_.with(record);
  WRACKLINE_TRY_VALUE(is_edited, row.step());
  std::optional<RecordState> state;
  if (is_edited) state = {static_cast<std::uint32_t>(row.integer(0)), Bytes(row.blob(1)), Bytes(row.blob(2)), true};
  row.reset();
  if (state && state->kind == 0) state.reset();
  if (is_edited) return state;
  WRACKLINE_TRY_VALUE(bytes, logs_.content_of(record));
  if (bytes.empty()) return state;
  WRACKLINE_TRY_VALUE(change, read_change(bytes));
  if (!change.is_birth()) return state;
  return std::optional<RecordState>({change.kind, merged_birth(change.fields), {}, false});
}

Result<std::optional<RecordState>> Projection::load(Place record) {
  WRACKLINE_TRY(settle());
  std::optional<RecordState> state;
  Statement& row = record_.with(record);
  WRACKLINE_TRY_VALUE(edited, row.step());
  if (edited) state = {static_cast<std::uint32_t>(row.integer(0)), Bytes(row.blob(1)), Bytes(row.blob(2)), true};
  row.reset();
  if ((state && state->kind != 0) || holds_.is_held(record)) return state;
  WRACKLINE_TRY_VALUE(bytes, logs_.content_of(record));
  if (bytes.empty()) return state;
  WRACKLINE_TRY_VALUE(change, read_change(bytes));
  if (!change.is_birth()) return state;
  return std::optional<RecordState>({change.kind, merged_birth(change.fields), {}, edited});
}

Result<std::vector<Place>> Projection::find(Place subject, Kind kind, Day first_day, Day last_day) {
  WRACKLINE_TRY(settle());
  return keys_.find(subject, kind, first_day, last_day);
}

Result<std::vector<KeyRow>> Projection::find_brief(Place subject, Kind kind, Day first_day, Day last_day) {
  WRACKLINE_TRY(settle());
  return keys_.rows(subject, kind, first_day, last_day);
}

Result<std::vector<KeyRow>> Projection::find_brief_via(Place subject, Kind via, Kind kind, Day first_day, Day last_day) {
  WRACKLINE_TRY(settle());
  return keys_.rows_via(subject, via, kind, first_day, last_day);
}

Result<std::vector<KeyRow>> Projection::find_belonging(Place subject) {
  WRACKLINE_TRY(settle());
  return keys_.rows_of(subject);
}

Result<std::vector<Place>> Projection::find_all_subjects(Kind kind, Day first_day, Day last_day) {
  WRACKLINE_TRY(settle());
  return keys_.find_all_subjects(kind, first_day, last_day);
}

Result<std::vector<Place>> Projection::same_key(Place record, const RecordState& state) {
  WRACKLINE_TRY(settle());
  WRACKLINE_TRY_VALUE(keyed, key_of(state.kind, state.fields));
  if (keyed.key.subject == 0) return std::vector<Place>{record};
  return keys_.members(keyed.key);
}

Result<std::vector<ReviewRow>> Projection::review() {
  WRACKLINE_TRY(flush());
  std::vector<ReviewRow> out;
  for (;;) {
    WRACKLINE_TRY_VALUE(row, review_.step());
    if (!row) break;
    out.push_back({static_cast<ReviewRule>(review_.integer(0)), review_.integer(1)});
  }
  review_.reset();
  return out;
}

Result<std::uint64_t> Projection::rebuild(const Progress& progress) {
  WRACKLINE_TRY(read_hub_from_logs());
  WRACKLINE_TRY(database_.execute("DELETE FROM record; DELETE FROM edit; DELETE FROM review; DELETE FROM hub_key;"));
  WRACKLINE_TRY(keys_.clear());
  WRACKLINE_TRY(holds_.clear());
  WRACKLINE_TRY(arrivals_.clear());
  unborn_.clear();
  to_fold_.clear();
  holds_to_apply_.clear();
  groups_to_judge_.clear();
  doses_to_judge_.clear();
  histories_.clear();
  ++changes_of_all_;
  is_rebuilding_ = true;
  std::uint64_t count = 0, all = 0;
  for (const auto& [id, log] : logs_.all()) all += log.head.seq - log.base();
  for (const auto& [id, log] : std::map<LogId, LogEntry>(logs_.all())) {
    const LogNo no = log.no;
    const LogEntry& entry = log;
    Bytes copy;  // apply() reads other changes, which may throw a cached run out.
    const auto visit = [&](Seq seq, ByteView bytes) -> Status {
      copy.assign(bytes);
      logs_.bytes_to_content(entry, copy);
      WRACKLINE_TRY_VALUE(change, read_change(copy));
      if (count++ % kProgressEvery == 0 && progress) progress(count, all);
      return apply(place_of(no, seq), change);
    };
    WRACKLINE_TRY(logs_.for_each(log, 0, visit));
  }
  WRACKLINE_TRY(flush());
  is_rebuilding_ = hub_has_moved_ = false;
  return count;
}

}  // namespace wrackline
