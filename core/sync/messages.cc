#include "sync/messages.h"

#include <algorithm>
#include <set>

#include "sync/receipt_signer.h"

namespace wrackline {

void put_vector(const VersionVector& vector, proto::Vector& out) {
  for (const auto& [log, point] : vector) {
    proto::VectorEntry& entry = *out.add_entries();
    entry.set_log(log.value);
    entry.set_seq(point.seq);
    entry.set_head(point.head);
    entry.set_receipted(point.receipted);
  }
}

VersionVector take_vector(const proto::Vector& message) {
  VersionVector out;
  for (const proto::VectorEntry& entry : message.entries()) {
    if (entry.log() != 0) out[LogId{entry.log()}] = {entry.seq(), entry.head(), entry.receipted()};
  }
  return out;
}

void put_segment(const LogEntry& log, const SealedRun& run, proto::Segment& out) {
  out.set_log(log.id.value);  // A branch under its own id; its seal speaks of the root.
  out.set_first_seq(run.first);
  out.set_count(run.count);
  out.set_device_key(Bytes(view(*log.device)));
  out.set_codec(run.codec);
  out.set_body(run.body);
  out.set_seal(Bytes(view(run.seal)));
}

bool take_segment(const proto::Segment& message, IncomingSegment& out) {
  out.log = LogId{message.log()};
  out.first = message.first_seq();
  out.count = message.count();
  out.codec = message.codec();
  out.body = message.body();
  return copy_exactly(message.device_key(), out.device) && copy_exactly(message.seal(), out.seal);
}

void put_receipt(LogId log, const Receipt& receipt, proto::Receipt& out) {
  out.set_log(log.value);
  out.set_seq(receipt.seq);
  out.set_held_ms(receipt.held_ms);
  out.set_head(receipt.head);
  out.set_signature(Bytes(view(receipt.signature)));
}

Result<bool> keep_receipt(Store& store, const proto::Receipt& message) {
  const LogEntry* log = store.logs().find(LogId{message.log()});
  Receipt receipt{message.seq(), message.held_ms(), message.head(), {}};
  if (log == nullptr || receipt.seq == 0 || receipt.seq > log->head.seq) return false;
  if (!copy_exactly(message.signature(), receipt.signature)) return false;
  WRACKLINE_TRY_VALUE(chain, store.logs().chain_at(*log, receipt.seq));
  if (first8(chain) != receipt.head) return false;
  if (!receipt_signer(store.facility(), store.records().hub(), log->id, receipt)) return false;
  WRACKLINE_TRY_VALUE(entry, store.logs().intern(log->id));
  WRACKLINE_TRY(store.receipts().add(*entry, receipt));
  return true;
}

Status check_facility_and_protocol(const Store& store, const std::string& facility, std::uint32_t protocol) {
  if (protocol == 0 || facility.size() != store.facility().size()) {
    return fail(ErrorCode::kMalformed, "reading an exchange: it is no message of ours; nothing was kept");
  }
  if (protocol > kProtocol) {
    return fail(ErrorCode::kUnsupported, "reading an exchange: the other side follows newer rules (" +
                                             std::to_string(protocol) + "); nothing was kept; update this program");
  }
  if (ByteView(facility) != view(store.facility())) {
    return fail(ErrorCode::kWrongFacility,
                "reading an exchange: it belongs to another facility's records; nothing was kept; check the hub's address or the file");
  }
  return {};
}

Result<std::uint32_t> admit_all(Admission& admission, const DeviceRegistry& devices,
                                const google::protobuf::RepeatedPtrField<proto::Segment>& segments,
                                std::vector<RefusedLog>& refused) {
  std::uint32_t admitted = 0;
  std::set<LogId> failed;
  std::vector<bool> is_done(static_cast<std::size_t>(segments.size()), false);
  const auto take = [&](int index) -> Status {
    is_done[static_cast<std::size_t>(index)] = true;
    const proto::Segment& message = segments[index];
    const LogId log{message.log()};
    if (failed.count(log) != 0) return {};
    IncomingSegment segment;
    Result<std::uint32_t> result = fail(ErrorCode::kMalformed, "taking in a log: its key or seal has not the right size; nothing of it was kept");
    if (take_segment(message, segment)) result = admission.admit(segment);
    if (!result) {
      if (is_own_trouble(result.error().code)) return fail(result.error());
      refused.push_back({log, message.first_seq(), result.error()});
      failed.insert(log);
      return {};
    }
    admitted += *result;
    return {};
  };
  const auto is_of_hub = [&](const proto::Segment& message) {
    PublicKey key;
    return copy_exactly(message.device_key(), key) && devices.hub().is_key(key);
  };
  // What one key of the hub says may make another known.
  for (bool has_more = true; has_more;) {
    has_more = false;
    for (int i = 0; i < segments.size(); ++i) {
      if (is_done[static_cast<std::size_t>(i)] || !is_of_hub(segments[i])) continue;
      WRACKLINE_TRY(take(i));
      has_more = true;
    }
  }
  WRACKLINE_TRY(admission.move_branches());
  for (int i = 0; i < segments.size(); ++i) {
    if (!is_done[static_cast<std::size_t>(i)]) WRACKLINE_TRY(take(i));
  }
  return admitted;
}

namespace {

struct Lacking {
  const LogEntry* log;
  Seq after;
};

std::vector<Lacking> lacking(Store& store, bool of_hub, const VersionVector& theirs, const std::vector<RefusedLog>& skip) {
  std::vector<Lacking> out;
  for (const auto& [id, log] : store.logs().all()) {
    if (!log.device || store.records().hub().is_key(*log.device) != of_hub) continue;
    const LogId log_id = id;
    if (std::any_of(skip.begin(), skip.end(), [&](const RefusedLog& r) { return r.log == log_id; })) continue;
    const auto there = theirs.find(id);
    const Seq after = there == theirs.end() ? 0 : there->second.seq;
    if (after < log.sealed) out.push_back({&log, after});
  }
  return out;
}

}  // namespace

Result<bool> add_lacking(Store& store, const VersionVector& theirs, const std::vector<RefusedLog>& skip,
                         std::size_t bytes_wanted, google::protobuf::RepeatedPtrField<proto::Segment>& out,
                         std::uint32_t& changes) {
  std::size_t bytes = 0;
  // Whether all of it went in.
  const auto add = [&](const Lacking& part, std::size_t bytes_max) -> Result<bool> {
    WRACKLINE_TRY_VALUE(runs, store.logs().runs_after(*part.log, part.after, bytes_max));
    for (const SealedRun& run : runs) {
      put_segment(*part.log, run, *out.Add());
      changes += run.last() - std::max(part.after, run.first - 1);
      bytes += run.body.size() + 128;
    }
    return !runs.empty() && runs.back().last() >= part.log->sealed;
  };
  const std::vector<Lacking> of_hub = lacking(store, true, theirs, skip);
  bool is_whole = true;
  for (const Lacking& part : of_hub) {
    WRACKLINE_TRY_VALUE(all, add(part, bytes_wanted / of_hub.size()));
    is_whole = is_whole && all;
  }
  if (!is_whole) return false;
  for (const Lacking& part : lacking(store, false, theirs, skip)) {
    if (bytes >= bytes_wanted) return false;
    WRACKLINE_TRY_VALUE(all, add(part, bytes_wanted - bytes));
    if (!all) return false;
  }
  return true;
}

Status find_forks(Store& store, const VersionVector& theirs, std::vector<RefusedLog>& forks) {
  for (const auto& [id, point] : theirs) {
    const LogEntry* log = store.logs().find(id);
    if (log == nullptr || !log->device || point.seq == 0 || point.seq > log->head.seq) continue;
    WRACKLINE_TRY_VALUE(chain, store.logs().chain_at(*log, point.seq));
    if (first8(chain) == point.head) continue;
    forks.push_back({id, point.seq,
                     {ErrorCode::kFork, "comparing log " + to_text(id) +
                                            ": the two replicas hold two branches of it; nothing was mixed or lost; the "
                                            "hub keeps the second one apart for an officer"}});
  }
  return {};
}

}  // namespace wrackline
