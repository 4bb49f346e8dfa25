#include "store/projection.h"

#include <algorithm>
#include <string>
#include <utility>

#include "base/planted.h"
#include "base/wire.h"
#include "model/device.h"
#include "model/hold.h"

namespace wrackline {

Projection::Projection(Database& database, LogTable& logs)
    : database_(database),
      logs_(logs),
      keys_(database),
      holds_(database),
      insert_edit_(database, "INSERT INTO edit VALUES(?,?)"),
      edits_(database, "SELECT change FROM edit WHERE record=?"),
      record_(database, "SELECT kind,fields,disagreements FROM record WHERE place=?"),
      put_record_(database, "INSERT OR REPLACE INTO record VALUES(?,?,?,?)"),
      insert_review_(database, "INSERT OR IGNORE INTO review VALUES(?,?)"),
      delete_review_(database, "DELETE FROM review WHERE rule=? AND record=?"),
      review_(database, "SELECT rule,record FROM review") {}

Status Projection::reload(const std::optional<PublicKey>& pinned_hub_key) {
  unborn_.clear();
  doses_to_judge_.clear();
  keys_.forget();
  ++changes_of_all_;
  WRACKLINE_TRY(holds_.reload());
  Statement rows(database_, "SELECT place FROM record WHERE kind=0");
  WRACKLINE_TRY_VALUE(found, rows.integers());
  unborn_.insert(found.begin(), found.end());
  pinned_ = pinned_hub_key;
  hub_ = HubLineage();
  is_rebuilding_ = is_hub_known_ = false;
  WRACKLINE_TRY(read_hub());
  hub_has_moved_ = false;
  return {};
}

Status Projection::pin_hub_key(const PublicKey& key) {
  pinned_ = key;
  note_kind(static_cast<std::uint32_t>(Kind::kDevice));
  return read_hub();
}

namespace {

void add_hub_key_record(const LogEntry& log, Seq seq, const Change& birth, std::vector<HubKeyRecord>& out) {
  const auto device = device_fields(birth.fields);
  if (device && device->of_hub) out.push_back({{log.id, seq}, *log.device, device->key, device->ends});
}

// Of a branch nothing counts: the hub itself never continues its log twice.
bool may_name_hub_keys(const LogEntry* log) { return log != nullptr && log->device && !log->branch; }

}  // namespace

Status Projection::read_hub() {
  if (!pinned_) return {};
  std::vector<HubKeyRecord> records;
  WRACKLINE_TRY_VALUE(places, keys_.find(0, Kind::kDevice, 0, 0));
  for (const Place place : places) {
    const LogEntry* log = logs_.find(logs_.id_of(place).log);
    if (!may_name_hub_keys(log)) continue;
    // A record that was damaged on the disk names no key. The records still open, so that `verify` can name it.
    const Result<ByteView> bytes = logs_.bytes_of(place);
    if (!bytes && bytes.error().code != ErrorCode::kMalformed) return fail(bytes.error());
    const Result<Change> birth = bytes ? read_change(*bytes) : Result<Change>(fail(bytes.error()));
    if (birth) add_hub_key_record(*log, seq_of(place), *birth, records);
  }
  follow_hub(HubLineage(*pinned_, std::move(records)));
  return {};
}

// The same without the projections: from the logs of those keys that are the hub's as far as is known.
Status Projection::read_hub_from_logs() {
  if (!pinned_) return {};
  HubLineage known(*pinned_, {});
  for (std::size_t keys = 0; keys != known.keys().size();) {
    keys = known.keys().size();
    std::vector<HubKeyRecord> records;
    for (const auto& [id, log] : logs_.all()) {
      if (!may_name_hub_keys(&log) || !known.is_key(*log.device)) continue;
      const LogEntry& entry = log;
      const auto visit = [&](Seq seq, ByteView bytes) -> Status {
        WRACKLINE_TRY_VALUE(change, read_change(bytes));
        if (change.is_birth() && change.kind == static_cast<std::uint32_t>(Kind::kDevice)) {
          add_hub_key_record(entry, seq, change, records);
        }
        return {};
      };
      WRACKLINE_TRY(logs_.for_each(log, 0, visit));
    }
    known = HubLineage(*pinned_, std::move(records));
  }
  follow_hub(std::move(known));
  return {};
}

void Projection::follow_hub(HubLineage next) {
  for (const auto& [id, log] : logs_.all()) {
    if (!log.device) continue;
    hub_has_moved_ = hub_has_moved_ || std::min(hub_.reach(id, *log.device), log.head.seq) !=
                                           std::min(next.reach(id, *log.device), log.head.seq);
  }
  hub_ = std::move(next);
}

void Projection::note_kind(std::uint32_t kind) {
  if (kind < kKindsMax) ++changes_of_kind_[kind];  // Of kinds of newer releases nobody here keeps anything.
}

Status Projection::apply(Place place, const Change& change) {
  if (change.is_birth()) return holds_.is_held(place) ? Status() : apply_birth(place, change);
  WRACKLINE_TRY_VALUE(record, logs_.intern_place(change.record));
  // Nobody can have seen a later change of the same log: a broken writer's edit, kept in the log and without effect.
  if (log_no_of(record) == log_no_of(place) && record >= place) return {};
  WRACKLINE_TRY(insert_edit_.with(record, place).run());
  return refold(record, false);
}

Status Projection::apply_birth(Place place, const Change& change) {
  WRACKLINE_TRY(put_birth(place, change));
  if (change.kind != static_cast<std::uint32_t>(Kind::kDevice) || is_hub_known_) return {};
  const auto device = device_fields(change.fields);
  return device && device->of_hub ? read_hub() : Status();
}

Status Projection::put_birth(Place place, const Change& change) {
  note_kind(change.kind);
  if (unborn_.erase(place) != 0 && !planted("forget-early-edits")) return refold(place, true);
  WRACKLINE_TRY_VALUE(keyed, key_of(change.kind, change.fields));
  WRACKLINE_TRY(insert_key(keyed.key, place, std::move(keyed.brief)));
  return change.kind == static_cast<std::uint32_t>(Kind::kHold) ? heed_hold(place) : Status();
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

Status Projection::insert_key(const Key& key, Place record, Bytes brief) {
  const KindRow* row = find_kind(key.kind);
  bool is_double = false;
  if (row != nullptr && row->double_entry != ReviewLevel::kNone && key.subject != 0) {
    WRACKLINE_TRY_VALUE(found, keys_.has(key));
    is_double = found;
  }
  note_dose(key);
  WRACKLINE_TRY(keys_.insert(key, record, std::move(brief)));
  return is_double ? review_group(key) : Status();
}

Status Projection::take_out_of_key(const Key& key, Place record) {
  WRACKLINE_TRY(keys_.erase(key, record));
  for (const ReviewRule rule : {ReviewRule::kDoubleEntry, ReviewRule::kFoldAstray, ReviewRule::kDoseOutOfOrder}) {
    WRACKLINE_TRY(set_review(rule, record, false));
  }
  note_dose(key);
  return review_group(key);
}

Status Projection::review_group(const Key& key) {
  const KindRow* row = find_kind(key.kind);
  if (row == nullptr || row->double_entry == ReviewLevel::kNone || key.subject == 0) return {};
  WRACKLINE_TRY_VALUE(group, keys_.members(key));
  std::vector<GroupMember> members;
  for (Place member : group) {
    WRACKLINE_TRY_VALUE(state, load(member));
    // One that is held or unborn tells of no event here.
    BuiltIn built_in;
    built_in.struck = true;
    RecordId apart;
    if (state) {
      built_in = built_in_of(state->fields);
      apart = reference_in(state->fields, row->apart_field);
    }
    members.push_back({logs_.id_of(member), std::move(built_in), apart});
  }
  const std::vector<bool> is_double = double_entries(members), is_astray = folds_astray(members);
  for (std::size_t i = 0; i < group.size(); ++i) {
    WRACKLINE_TRY(set_review(ReviewRule::kDoubleEntry, group[i], is_double[i]));
    WRACKLINE_TRY(set_review(ReviewRule::kFoldAstray, group[i], is_astray[i]));
  }
  return {};
}

void Projection::note_dose(const Key& key) {
  if (key.kind == static_cast<std::uint32_t>(Kind::kAdministration) && key.subject != 0) {
    doses_to_judge_.emplace(key.subject, key.day);
  }
}

Result<std::vector<DosePair>> Projection::doses_out_of_order(Place order, Day day) {
  const KindRow& row = *find_kind(static_cast<std::uint32_t>(Kind::kAdministration));
  WRACKLINE_TRY_VALUE(rows, keys_.rows(order, Kind::kAdministration, day - kDoseOrderDays, day + kDoseOrderDays));
  std::vector<SlottedDose> doses;
  for (KeyRow& found : rows) {
    RecordKey key;
    key.subject = logs_.id_of(order);
    key.day = found.key.day;
    key.detail = static_cast<std::uint64_t>(found.key.detail);
    key.brief = std::move(found.brief);
    if (const auto dose = slotted_dose(logs_.id_of(found.record), fields_of_brief(row, key))) doses.push_back(*dose);
  }
  return wrackline::doses_out_of_order(std::move(doses));
}

Status Projection::review_doses(Place order, Day day) {
  WRACKLINE_TRY_VALUE(pairs, doses_out_of_order(order, day));
  // What is due later than `day` has neighbours that were not looked at; it is not judged by this.
  WRACKLINE_TRY_VALUE(judged, keys_.find(order, Kind::kAdministration, day - kDoseOrderDays, day));
  for (const Place dose : judged) {
    bool is_flagged = std::any_of(pairs.begin(), pairs.end(),
                                  [&](const DosePair& pair) { return pair.due_first == logs_.id_of(dose); });
    if (is_flagged) {
      WRACKLINE_TRY_VALUE(state, load(dose));
      is_flagged = state && !built_in_of(state->fields).has_accepted(ReviewRule::kDoseOutOfOrder);
    }
    WRACKLINE_TRY(set_review(ReviewRule::kDoseOutOfOrder, dose, is_flagged));
  }
  return {};
}

Status Projection::flush() {
  WRACKLINE_TRY(keys_.flush());
  for (const auto& [order, day] : std::exchange(doses_to_judge_, {})) WRACKLINE_TRY(review_doses(order, day));
  return {};
}

Status Projection::set_review(ReviewRule rule, Place record, bool wanted) {
  Statement& statement = wanted ? insert_review_ : delete_review_;
  return statement.with(static_cast<std::uint32_t>(rule), record).run();
}

Result<Folded> Projection::history(Place record, std::vector<Bytes>& storage) {
  WRACKLINE_TRY_VALUE(edits, edits_.with(record).integers());
  std::vector<Place> touching = {record};
  touching.insert(touching.end(), edits.begin(), edits.end());
  storage.clear();
  storage.reserve(touching.size());
  const ChangeId id = logs_.id_of(record);
  std::vector<FoldInput> inputs;
  for (Place place : touching) {
    WRACKLINE_TRY_VALUE(bytes, logs_.bytes_of(place));
    if (bytes.empty() || holds_.is_held(place)) continue;  // The birth has not arrived yet; or out of account.
    const std::uint32_t check = check_of(bytes);
    WRACKLINE_TRY_VALUE(content, logs_.content_of(place));
    storage.emplace_back(content);
    WRACKLINE_TRY_VALUE(change, read_change(storage.back()));
    // A place that names an edit is no record's birth, whatever an edit may claim.
    if (place == record && !change.is_birth()) continue;
    inputs.push_back({logs_.id_of(place), check, change});
  }
  return fold(id, std::move(inputs));
}

Status Projection::refold(Place record, bool just_born) {
  WRACKLINE_TRY_VALUE(before, load(record));
  std::optional<Keyed> old_row;
  if (before && before->kind != 0 && !just_born) {
    WRACKLINE_TRY_VALUE(keyed, key_of(before->kind, before->fields));
    old_row = std::move(keyed);
  }
  std::vector<Bytes> storage;
  WRACKLINE_TRY_VALUE(folded, history(record, storage));
  const Bytes fields = folded.merged();
  const Bytes disagreements = folded.disagreements();
  WRACKLINE_TRY(put_record_.with(record, folded.kind, ByteView(fields), ByteView(disagreements)).run());
  WRACKLINE_TRY(set_review(ReviewRule::kDisagreement, record, folded.kind != 0 && !disagreements.empty()));
  note_kind(folded.kind);
  if (folded.kind == 0) {
    unborn_.insert(record);
    if (!old_row) return {};
    note_kind(before->kind);
    return take_out_of_key(old_row->key, record);
  }
  WRACKLINE_TRY_VALUE(new_row, key_of(folded.kind, fields));
  const bool is_moved = !old_row || !(old_row->key == new_row.key);
  if (is_moved || old_row->brief != new_row.brief) {
    if (old_row && is_moved) WRACKLINE_TRY(take_out_of_key(old_row->key, record));
    if (old_row && !is_moved) WRACKLINE_TRY(keys_.erase(old_row->key, record));
    WRACKLINE_TRY(keys_.insert(new_row.key, record, std::move(new_row.brief)));
  }
  note_dose(new_row.key);
  if (folded.kind == static_cast<std::uint32_t>(Kind::kHold)) WRACKLINE_TRY(heed_hold(record));
  return planted("review-not-redone") ? Status() : review_group(new_row.key);
}

Status Projection::heed_hold(Place hold) {
  const LogEntry* log = logs_.find(logs_.id_of(hold).log);
  if (log == nullptr || !hub_.speaks(*log, seq_of(hold))) return {};
  WRACKLINE_TRY_VALUE(state, load(hold));
  const BuiltIn built_in = state ? built_in_of(state->fields) : BuiltIn();
  HeldRange wanted;
  if (state) {
    const HeldChanges named = held_changes(state->fields);
    // Known whatever an officer has decided meanwhile: what came of it cannot be taken in otherwise.
    if (const std::optional<NamedBranch> fork = named_branch(state->fields)) {
      const Branch branch{fork->root, fork->of, fork->after, fork->base, fork->first};
      WRACKLINE_TRY(logs_.open_branch(named.log, branch, fork->device));
    }
    if (named.log && built_in.in_account()) {
      WRACKLINE_TRY_VALUE(of, logs_.intern(named.log));
      wanted = {place_of(of->no, named.first), place_of(of->no, named.last)};
    }
  }
  const auto& accepted = built_in.accepted_rules;
  const bool is_left_out = std::find(accepted.begin(), accepted.end(),
                                     static_cast<std::uint32_t>(ReviewRule::kHeld)) != accepted.end();
  WRACKLINE_TRY(set_review(ReviewRule::kHeld, hold, wanted.first != 0 && !is_left_out));
  const HeldRange* known = holds_.find(hold);
  const HeldRange before = known == nullptr ? HeldRange() : *known;
  if (before == wanted) return {};

  std::vector<std::pair<Place, bool>> concerned;
  for (const HeldRange& range : {before, wanted}) {
    const LogEntry* of = logs_.find(logs_.id_of(range.first).log);
    if (of == nullptr) continue;
    const Place last = std::min(range.last, place_of(of->no, of->head.seq));
    for (Place place = range.first; place <= last; ++place) concerned.emplace_back(place, holds_.is_held(place));
  }
  WRACKLINE_TRY(wanted.first != 0 ? holds_.put(hold, wanted) : holds_.erase(hold));
  if (is_rebuilding_) return {};  // What it names has not been applied yet.
  if (planted("lift-not-applied")) return {};
  for (const auto& [place, was_held] : concerned) {
    if (holds_.is_held(place) != was_held) WRACKLINE_TRY(turn(place));
  }
  return {};
}

Status Projection::take_in(const std::vector<Place>& changes) {
  holds_.stop_expecting();
  for (const Place place : changes) WRACKLINE_TRY(turn(place));
  return {};
}

Status Projection::turn(Place place) {
  WRACKLINE_TRY_VALUE(bytes, logs_.content_of(place));
  const Bytes copy(bytes);
  WRACKLINE_TRY_VALUE(change, read_change(copy));
  if (!change.is_birth()) {
    WRACKLINE_TRY_VALUE(record, logs_.intern_place(change.record));
    return log_no_of(record) == log_no_of(place) && record >= place ? Status() : refold(record, false);
  }
  if (!holds_.is_held(place)) return apply_birth(place, change);
  Statement& row = record_.with(place);
  WRACKLINE_TRY_VALUE(is_edited, row.step());
  row.reset();
  if (is_edited) return refold(place, false);
  note_kind(change.kind);
  WRACKLINE_TRY_VALUE(keyed, key_of(change.kind, change.fields));
  return take_out_of_key(keyed.key, place);
}

Result<std::optional<RecordState>> Projection::load(Place record) {
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
  return keys_.find(subject, kind, first_day, last_day);
}

Result<std::vector<KeyRow>> Projection::find_brief(Place subject, Kind kind, Day first_day, Day last_day) {
  return keys_.rows(subject, kind, first_day, last_day);
}

Result<std::vector<KeyRow>> Projection::find_brief_via(Place subject, Kind via, Kind kind, Day first_day, Day last_day) {
  return keys_.rows_via(subject, via, kind, first_day, last_day);
}

Result<std::vector<Place>> Projection::find_all_subjects(Kind kind, Day first_day, Day last_day) {
  return keys_.find_all_subjects(kind, first_day, last_day);
}

Result<std::vector<Place>> Projection::same_key(Place record, const RecordState& state) {
  WRACKLINE_TRY_VALUE(keyed, key_of(state.kind, state.fields));
  if (keyed.key.subject == 0) return std::vector<Place>{record};
  return keys_.members(keyed.key);
}

Result<std::vector<ReviewRow>> Projection::review() {
  std::vector<ReviewRow> out;
  for (;;) {
    WRACKLINE_TRY_VALUE(row, review_.step());
    if (!row) break;
    out.push_back({static_cast<ReviewRule>(review_.integer(0)), review_.integer(1)});
  }
  review_.reset();
  return out;
}

Result<std::uint64_t> Projection::rebuild() {
  WRACKLINE_TRY(read_hub_from_logs());
  is_hub_known_ = true;
  WRACKLINE_TRY(database_.execute("DELETE FROM record; DELETE FROM edit; DELETE FROM review;"));
  WRACKLINE_TRY(keys_.clear());
  WRACKLINE_TRY(holds_.clear());
  doses_to_judge_.clear();
  unborn_.clear();
  std::uint64_t count = 0;
  // Holds first, so that what they name is out of account from the start; then births: apply() takes every change
  // whose bytes are held for applied already.
  std::unordered_set<Place> hold_records;
  enum class Pass { kHolds, kEditsOfHolds, kBirths, kEdits };
  for (const Pass pass : {Pass::kHolds, Pass::kEditsOfHolds, Pass::kBirths, Pass::kEdits}) {
    is_rebuilding_ = pass == Pass::kHolds || pass == Pass::kEditsOfHolds;
    if (pass == Pass::kEditsOfHolds && hold_records.empty()) continue;
    for (const auto& [id, log] : std::map<LogId, LogEntry>(logs_.all())) {
      if (pass == Pass::kHolds && !hub_.speaks(log, 1)) continue;
      const LogNo no = log.no;
      const LogEntry& entry = log;
      Bytes copy;  // apply() reads other changes, which may throw a cached run out.
      const auto visit = [&](Seq seq, ByteView bytes) -> Status {
        copy.assign(bytes);
        logs_.bytes_to_content(entry, copy);
        WRACKLINE_TRY_VALUE(change, read_change(copy));
        Pass belongs_to = change.is_birth() ? Pass::kBirths : Pass::kEdits;
        if (change.is_birth() && hub_.speaks(entry, seq) && change.kind == static_cast<std::uint32_t>(Kind::kHold)) {
          belongs_to = Pass::kHolds;
          hold_records.insert(place_of(no, seq));
        } else if (!change.is_birth() && hold_records.count(logs_.find_place(change.record)) != 0) {
          belongs_to = Pass::kEditsOfHolds;
        }
        if (belongs_to != pass) return {};
        ++count;
        return apply(place_of(no, seq), change);
      };
      WRACKLINE_TRY(logs_.for_each(log, 0, visit));
    }
  }
  is_hub_known_ = hub_has_moved_ = false;
  return count;
}

Result<Hash> Projection::table_digest() {
  WRACKLINE_TRY(flush());
  Hash digest{};
  for (const char* sql : {"SELECT subject,kind,day,detail,record,brief,'' FROM key ORDER BY 1,2,3,4,5",
                          "SELECT place,kind,0,0,0,fields,disagreements FROM record ORDER BY 1",
                          "SELECT record,change,0,0,0,'','' FROM edit ORDER BY 1,2",
                          "SELECT rule,record,0,0,0,'','' FROM review ORDER BY 1,2",
                          "SELECT hold,first,last,0,0,'','' FROM held ORDER BY 1"}) {
    Statement rows(database_, sql);
    for (;;) {
      WRACKLINE_TRY_VALUE(row, rows.step());
      if (!row) break;
      Bytes numbers;
      for (int column = 0; column < 5; ++column) append_le(numbers, static_cast<std::uint64_t>(rows.integer(column)), 8);
      append_le(numbers, rows.blob(5).size(), 8);
      digest = sha256(view(digest), numbers, rows.blob(5), rows.blob(6));
    }
  }
  return digest;
}

Result<Projection::StateDigest> Projection::state_digest() {
  StateDigest out;
  const auto add = [&](ChangeId id, const RecordState& state) {
    Bytes head;
    append_le(head, id.log.value, 8);
    append_varint(head, id.seq);
    append_varint(head, state.kind);
    append_varint(head, state.fields.size());
    out.sha256 = sha256(view(out.sha256), head, state.fields, state.disagreements);
    ++out.records;
  };
  for (const auto& [id, log] : logs_.all()) {
    // Edited records first gather here, births of the log pass by in order and take their place among them.
    Statement edited(database_, "SELECT place FROM record WHERE place>=? AND place<=? ORDER BY place");
    WRACKLINE_TRY_VALUE(edited_places, edited.with(place_of(log.no, 1), place_of(log.no, kSeqMax)).integers());
    auto next_edited = edited_places.begin();
    const auto add_edited_up_to = [&](Place limit) -> Status {
      for (; next_edited != edited_places.end() && *next_edited <= limit; ++next_edited) {
        WRACKLINE_TRY_VALUE(state, load(*next_edited));
        if (state) add(logs_.id_of(*next_edited), *state);
      }
      return {};
    };
    const LogNo no = log.no;
    const LogId log_id = id;
    const LogEntry& entry = log;
    Bytes copy;  // Loading an edited record may throw the run out that `bytes` points into.
    const auto visit = [&](Seq seq, ByteView bytes) -> Status {
      const Place place = place_of(no, seq);
      bool is_edited = false;
      if (entry.branch || (next_edited != edited_places.end() && *next_edited <= place)) {
        copy.assign(bytes);
        logs_.bytes_to_content(entry, copy);
        bytes = copy;
      }
      if (next_edited != edited_places.end() && *next_edited <= place) {
        WRACKLINE_TRY(add_edited_up_to(place));
        is_edited = *(next_edited - 1) == place;
      }
      WRACKLINE_TRY_VALUE(change, read_change(bytes));
      if (change.is_birth() && !is_edited && !holds_.is_held(place)) add({log_id, seq}, {change.kind, merged_birth(change.fields), {}, false});
      return {};
    };
    WRACKLINE_TRY(logs_.for_each(log, 0, visit));
    WRACKLINE_TRY(add_edited_up_to(place_of(no, kSeqMax)));
  }
  return out;
}

}  // namespace wrackline
