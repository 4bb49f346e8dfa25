// The part of the projection that learns who the hub is, from the device records in its logs.
#include "store/projection.h"

#include <algorithm>
#include <iterator>
#include <set>
#include <utility>

#include "model/device.h"

namespace wrackline {

Status Projection::pin_hub_key(const PublicKey& key) {
  pinned_ = key;
  note_kind(static_cast<std::uint32_t>(Kind::kDevice));
  return read_hub();
}

namespace {

void add_hub_key_record(const LogEntry& log, Seq seq, const Change& birth, std::vector<HubKeyRecord>& out) {
  const auto device = device_fields(birth.fields);
  if (device && device->of_hub) out.push_back({{log.id, seq}, log.opening->device, device->key, device->ends});
}

// Nothing in a branch counts: the hub itself never continues its log twice.
bool may_name_hub_keys(const LogEntry* log) { return log != nullptr && log->opening && !log->branch; }

}  // namespace

// A key that is not the hub's may name others: that is heeded when it has become one.
Status Projection::note_hub_key(Place place, const Change& birth) {
  const auto device = device_fields(birth.fields);
  if (!device || !device->of_hub) return {};
  WRACKLINE_TRY(insert_hub_key_.with(place).run());
  const LogEntry* log = logs_.find(logs_.id_of(place).log);
  return is_rebuilding_ || !may_name_hub_keys(log) || !hub_.is_key(log->opening->device) ? Status() : read_hub();
}

Status Projection::read_hub() {
  if (!pinned_) return {};
  std::vector<HubKeyRecord> records;
  WRACKLINE_TRY_VALUE(places, hub_keys_.with().integers());
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

// The same without the projections: from the logs of all keys that were the hub's at any step on the way there.
Status Projection::read_hub_from_logs() {
  if (!pinned_) return {};
  HubLineage known(*pinned_, {});
  std::vector<HubKeyRecord> records;
  std::set<PublicKey> read;
  const auto is_new = [&read](const PublicKey& key) { return read.count(key) == 0; };
  while (std::any_of(known.keys().begin(), known.keys().end(), is_new)) {
    std::set<PublicKey> wanted;
    std::copy_if(known.keys().begin(), known.keys().end(), std::inserter(wanted, wanted.end()), is_new);
    for (const auto& [id, log] : logs_.all()) {
      if (!may_name_hub_keys(&log) || wanted.count(log.opening->device) == 0) continue;
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
    read.insert(wanted.begin(), wanted.end());
    known = HubLineage(*pinned_, records);
  }
  follow_hub(std::move(known));
  return {};
}

void Projection::follow_hub(HubLineage next) {
  for (const auto& [id, log] : logs_.all()) {
    if (!log.opening) continue;
    hub_has_moved_ = hub_has_moved_ || std::min(hub_.reach(id, log.opening->device), log.head.seq) !=
                                           std::min(next.reach(id, log.opening->device), log.head.seq);
  }
  hub_ = std::move(next);
}

}  // namespace wrackline
