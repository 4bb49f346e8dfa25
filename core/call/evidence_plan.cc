#include "call/evidence_plan.h"

#include <algorithm>
#include <deque>
#include <set>
#include <utility>

#include "base/wire.h"
#include "call/hub_word.h"
#include "log/change.h"
#include "model/device.h"
#include "model/hold.h"
#include "model/kinds.h"
#include "model/named.h"

namespace wrackline {
namespace {

// How much further than its seal a span goes to reach the hub's receipt for it.
constexpr Seq kReceiptReachMax = 16384;

// Of the message Person.
constexpr std::uint32_t kPinField = 3;

class Planner {
 public:
  Planner(Replica& replica, bool whole) : replica_(replica), logs_(replica.store().logs()), whole_(whole) {}

  Status add_subject(RecordId record);
  Status relate_hub_keys();
  Status add_related();
  Result<EvidencePlan> finish();

 private:
  // All changes of a record, as far as they are here.
  Result<std::vector<Place>> changes_of(RecordId record);
  Status add_change(Place place, bool is_subject);
  Result<bool> sets_sign_in_only(Place change, RecordId record);
  void relate(RecordId record) {
    if (record && seen_.insert(record).second) related_.push_back(record);
  }
  Status name(RecordId record);
  Result<Seq> seal_behind(const LogEntry& log, Seq seq);
  Status add_whole(const LogEntry& log);

  Replica& replica_;
  LogTable& logs_;
  bool whole_;
  std::map<LogId, std::map<Seq, Seq>> wanted_;  // First to last, of changes and not yet of spans.
  std::set<LogId> subject_logs_;
  std::set<RecordId> seen_;
  std::deque<RecordId> related_;
  std::map<RecordId, std::string> names_;
};

Result<std::vector<Place>> Planner::changes_of(RecordId record) {
  const Place place = logs_.find_place(record);
  if (place == 0) return std::vector<Place>{};
  WRACKLINE_TRY_VALUE(places, replica_.store().records().edits_of(place));
  places.push_back(place);
  std::vector<Place> held;
  for (const Place at : places) {
    WRACKLINE_TRY_VALUE(bytes, logs_.bytes_of(at));
    if (!bytes.empty()) held.push_back(at);
  }
  return held;
}

Status Planner::name(RecordId record) {
  if (!record || names_.count(record) != 0) return {};
  WRACKLINE_TRY_VALUE(state, replica_.store().records().load(logs_.find_place(record)));
  if (!state || !has_name(state->kind)) return {};
  WireReader reader(state->fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number == kRecordNameField) names_[record] = std::string(field.bytes);
  }
  return {};
}

Result<Seq> Planner::seal_behind(const LogEntry& log, Seq seq) {
  WRACKLINE_TRY_VALUE(runs, logs_.runs_after(log, seq - 1, 1));
  if (runs.empty() || runs.front().first > seq) {
    return fail(ErrorCode::kStorage, "writing evidence: log " + to_text(log.id) + " has no seal behind change " +
                                         std::to_string(seq) + " here; nothing was written; see what `verify` says");
  }
  return runs.front().last();
}

Result<bool> Planner::sets_sign_in_only(Place change_place, RecordId record) {
  WRACKLINE_TRY_VALUE(state, replica_.store().records().load(logs_.find_place(record)));
  if (!state || state->kind != static_cast<std::uint32_t>(Kind::kPerson)) return false;
  WRACKLINE_TRY_VALUE(bytes, logs_.content_of(change_place));
  const Bytes content(bytes);
  WRACKLINE_TRY_VALUE(change, read_change(content));
  if (change.is_birth() || !change.clears.empty() || change.fields.empty()) return false;
  WireReader reader(change.fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number != kPinField) return false;
  }
  return true;
}

Status Planner::add_change(Place place, bool is_subject) {
  const ChangeId id = logs_.id_of(place);
  const LogEntry* log = logs_.find(id.log);
  if (log == nullptr || !log->device) return {};
  const auto span = wanted_[id.log].try_emplace(id.seq, 0).first;
  if (is_subject) {
    subject_logs_.insert(id.log);
    WRACKLINE_TRY_VALUE(receipts, replica_.store().receipts().after(*log, id.seq - 1));
    if (!receipts.empty() && receipts.front().seq - id.seq <= kReceiptReachMax) {
      span->second = std::max(span->second, receipts.front().seq);
    }
  }
  WRACKLINE_TRY_VALUE(device, replica_.devices().find(*log->device));
  relate(device.record);
  WRACKLINE_TRY_VALUE(bytes, logs_.content_of(place));
  const Bytes content(bytes);
  WRACKLINE_TRY_VALUE(change, read_change(content));
  relate(change.author);
  WRACKLINE_TRY(name(change.author));
  if (!is_subject) return {};
  WireReader reader(change.fields);
  WireField field;
  while (reader.next(field)) {
    if (field.type != WireType::kBytes) continue;
    const RecordId referred = decode_record_ref(field.bytes);
    if (referred && logs_.find(referred.log) != nullptr) WRACKLINE_TRY(name(referred));
  }
  return {};
}

Status Planner::add_subject(RecordId record) {
  WRACKLINE_TRY_VALUE(places, changes_of(record));
  if (places.empty()) {
    return fail(ErrorCode::kNotFound, "writing evidence of " + to_text(record) +
                                          ": nothing of it is held here; nothing was written; exchange first");
  }
  seen_.insert(record);
  for (const Place place : places) WRACKLINE_TRY(add_change(place, true));
  WRACKLINE_TRY(name(record));
  // What the record belongs to, where that is an event too: a portion tells of no animal but by its meal.
  WRACKLINE_TRY_VALUE(state, replica_.store().records().load(logs_.find_place(record)));
  const KindRow* row = state ? find_kind(state->kind) : nullptr;
  if (row == nullptr) return {};
  const RecordId owner = record_key(*row, state->fields).subject;
  WRACKLINE_TRY(name(owner));
  WRACKLINE_TRY_VALUE(owner_state, replica_.store().records().load(logs_.find_place(owner)));
  const KindRow* owner_row = owner_state ? find_kind(owner_state->kind) : nullptr;
  if (owner_row == nullptr || owner_row->key.subject == 0) return {};
  relate(owner);
  return name(record_key(*owner_row, owner_state->fields).subject);
}

// Where the hub's key was changed, whoever trusts one of its keys finds the others by these records.
Status Planner::relate_hub_keys() {
  if (replica_.devices().hub().keys().size() < 2) return {};
  WRACKLINE_TRY_VALUE(places, replica_.store().records().find(0, Kind::kDevice, 0, 0));
  for (const Place place : places) {
    WRACKLINE_TRY_VALUE(state, replica_.store().records().load(place));
    const auto device = state ? device_fields(state->fields) : std::nullopt;
    if (device && device->of_hub) relate(logs_.id_of(place));
  }
  return {};
}

// People, devices and holds, and who made those in turn.
Status Planner::add_related() {
  WRACKLINE_TRY(relate_hub_keys());
  WRACKLINE_TRY_VALUE(holds, replica_.store().records().find(0, Kind::kHold, 0, 0));
  for (;;) {
    for (const Place place : holds) {
      const RecordId hold = logs_.id_of(place);
      WRACKLINE_TRY_VALUE(state, replica_.store().records().load(place));
      if (!state || seen_.count(hold) != 0) continue;
      const HeldChanges held = held_changes(state->fields);
      const auto log = wanted_.find(held.log);
      if (log == wanted_.end()) continue;
      const auto first = log->second.lower_bound(held.first);
      if (first != log->second.end() && first->first <= held.last) relate(hold);
    }
    if (related_.empty()) return {};
    const RecordId record = related_.front();
    related_.pop_front();
    WRACKLINE_TRY_VALUE(places, changes_of(record));
    for (const Place place : places) {
      // What a person signs in with says nothing of who they are, and is nobody else's business.
      WRACKLINE_TRY_VALUE(is_sign_in, sets_sign_in_only(place, record));
      if (!is_sign_in) WRACKLINE_TRY(add_change(place, false));
    }
    WRACKLINE_TRY(name(record));
  }
}

Status Planner::add_whole(const LogEntry& log) {
  if (log.sealed > log.base()) wanted_[log.id][log.base() + 1] = log.sealed;
  const LogEntry* parent = log.branch ? logs_.find(log.branch->of) : nullptr;
  if (parent == nullptr || !parent->device || wanted_[parent->id].count(parent->base() + 1) != 0) return {};
  return add_whole(*parent);
}

Result<EvidencePlan> Planner::finish() {
  if (whole_) {
    for (const auto& [id, log] : logs_.all()) {
      if (log.device && (subject_logs_.count(id) != 0 || is_hub_key(replica_, *log.device)))
        WRACKLINE_TRY(add_whole(log));
    }
  }
  EvidencePlan plan;
  plan.names = std::move(names_);
  for (const bool of_hub : {true, false}) {
    for (const auto& [id, firsts] : wanted_) {
      const LogEntry* log = logs_.find(id);
      if (firsts.empty() || is_hub_key(replica_, *log->device) != of_hub) continue;
      EvidenceSpan span{id, 0, 0};
      for (const auto& [first, least] : firsts) {
        if (span.last != 0 && first > span.last + 1) plan.spans.push_back(std::exchange(span, {id, 0, 0}));
        if (span.last == 0) span.first = first;
        if (span.last >= std::max(first, least)) continue;
        WRACKLINE_TRY_VALUE(last, seal_behind(*log, std::max(first, least)));
        span.last = last;
      }
      plan.spans.push_back(span);
    }
  }
  return plan;
}

}  // namespace

Result<EvidencePlan> plan_evidence(Replica& replica, const std::vector<RecordId>& records, bool whole) {
  Planner planner(replica, whole);
  for (const RecordId record : records) WRACKLINE_TRY(planner.add_subject(record));
  WRACKLINE_TRY(planner.add_related());
  return planner.finish();
}

}  // namespace wrackline
