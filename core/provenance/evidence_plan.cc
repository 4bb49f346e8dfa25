#include "provenance/evidence_plan.h"
#include "reading/record_view.h"

#include <algorithm>
#include <deque>
#include <set>
#include <utility>

#include "base/wire.h"
#include "log/change.h"
#include "model/device.h"
#include "model/hold.h"
#include "model/kinds.h"
#include "model/named.h"

namespace wrackline {
namespace {

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
  void relate(RecordId record) {
    if (record && seen_.insert(record).second) related_.push_back(record);
  }
  Status name(RecordId record);
  Status add_arrival(Place place);
  void put_changes(const LogEntry& log, EvidenceOfLog& out) const;

  Replica& replica_;
  LogTable& logs_;
  bool whole_;
  std::map<LogId, std::set<Seq>> wanted_;
  std::map<LogId, std::set<Seq>> reaches_;
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

// When the hub came to hold a change: the entry in its log of arrivals, and how the log that it speaks of goes on from there.
Status Planner::add_arrival(Place place) {
  WRACKLINE_TRY_VALUE(arrival, replica_.store().records().arrivals().covering(place, replica_.devices().hub()));
  if (!arrival) return {};
  const ChangeId entry = logs_.id_of(arrival->entry);
  const LogEntry* log = logs_.find(logs_.id_of(place).log);
  if (seq_of(arrival->last) > log->sealed) return {};
  wanted_[entry.log].insert(entry.seq);
  if (seq_of(arrival->last) < log->sealed) reaches_[log->id].insert(seq_of(arrival->last));
  return {};
}

Status Planner::add_change(Place place, bool is_subject) {
  const ChangeId id = logs_.id_of(place);
  const LogEntry* log = logs_.find(id.log);
  if (log == nullptr || !log->opening) return {};
  wanted_[id.log].insert(id.seq);
  // Whoever checks the file knows the hub's key from elsewhere.
  if (!replica_.devices().hub().is_key(log->opening->device)) {
    WRACKLINE_TRY_VALUE(device, replica_.devices().find(log->opening->device));
    relate(device.record);
  }
  // The id of a log that was brought over counts by the hub's word alone.
  if (is_subject || log->opening->log_class == LogClass::kFormer) WRACKLINE_TRY(add_arrival(place));
  // The file tells who wrote the records that are asked about; it need not tell who entered those people and devices.
  if (!is_subject) return {};
  subject_logs_.insert(id.log);
  WRACKLINE_TRY_VALUE(bytes, logs_.content_of(place));
  const Bytes content(bytes);
  WRACKLINE_TRY_VALUE(change, read_change(content));
  relate(change.author);
  WRACKLINE_TRY(name(change.author));
  // The file shows the hub's record of who was at the device then.
  WRACKLINE_TRY_VALUE(arrival, replica_.store().records().arrivals().covering(place, replica_.devices().hub()));
  const WallMs arrived = arrival ? arrival->held_ms : replica_.now();
  WRACKLINE_TRY_VALUE(proof, replica_.presences().proof({change.author, log->opening->device, change.stamp.ms(), arrived}));
  if (proof) relate(proof->presence);
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
  // An event that the record belongs to goes along: a portion tells of no animal but by its meal.
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

// People, devices and holds, and the devices that sealed those in turn.
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
      if (first != log->second.end() && *first <= held.last) relate(hold);
    }
    if (related_.empty()) return {};
    const RecordId record = related_.front();
    related_.pop_front();
    WRACKLINE_TRY_VALUE(places, changes_of(record));
    for (const Place place : places) WRACKLINE_TRY(add_change(place, false));
    WRACKLINE_TRY(name(record));
  }
}

void Planner::put_changes(const LogEntry& log, EvidenceOfLog& out) const {
  const auto wanted = wanted_.find(log.id);
  if (wanted == wanted_.end()) return;
  std::set<Seq> withheld;
  out.shown.assign(wanted->second.begin(), wanted->second.end());
  // The id of a branch is made from its first change.
  if (log.branch && wanted->second.count(log.branch->after + 1) == 0) withheld.insert(log.branch->after + 1);
  if (!out.is_whole) out.withheld.assign(withheld.begin(), withheld.end());
}

Result<EvidencePlan> Planner::finish() {
  EvidencePlan plan;
  for (auto& [record, name] : names_) {
    const auto wanted = wanted_.find(record.log);
    if (wanted == wanted_.end() || wanted->second.count(record.seq) == 0) plan.names.emplace(record, std::move(name));
  }
  const HubLineage& hub = replica_.devices().hub();
  for (const bool of_hub : {true, false}) {
    for (const auto& [id, log] : logs_.all()) {
      const auto wanted = wanted_.find(id);
      if (!log.opening || hub.is_key(log.opening->device) != of_hub) continue;
      const bool is_all = whole_ && !log.branch && log.base() == 0 && log.sealed > 0 && !log.is_arrivals() &&
                          (of_hub || subject_logs_.count(id) != 0);
      if (wanted == wanted_.end() && !is_all) continue;
      EvidenceOfLog& out = plan.logs.emplace_back();
      out.log = id;
      out.is_whole = is_all;
      put_changes(log, out);
      const auto reaches = reaches_.find(id);
      if (reaches != reaches_.end()) out.reaches.assign(reaches->second.begin(), reaches->second.end());
      if (!log.seal || log.seal->size > log.head.seq || (wanted != wanted_.end() && *wanted->second.rbegin() > log.sealed)) {
        return fail(ErrorCode::kNotFound, "writing evidence: log " + to_text(id) +
                                              " is not here as far as its seal covers it; nothing was written; exchange with the hub first");
      }
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
