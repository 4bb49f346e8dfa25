#include "sync/messages.h"

#include <algorithm>
#include <set>

#include "crypto/texts.h"

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

Result<bool> keep_receipt(Store& store, const PublicKey& hub_key, const proto::Receipt& message) {
  const LogEntry* log = store.logs().find(LogId{message.log()});
  Receipt receipt{message.seq(), message.held_ms(), message.head(), {}};
  if (log == nullptr || receipt.seq == 0 || receipt.seq > log->head.seq) return false;
  if (!copy_exactly(message.signature(), receipt.signature)) return false;
  WRACKLINE_TRY_VALUE(chain, store.logs().chain_at(*log, receipt.seq));
  if (first8(chain) != receipt.head) return false;
  const Bytes text = receipt_text(store.facility(), {log->id, receipt.seq}, receipt.head, receipt.held_ms);
  if (!verify_signature(hub_key, text, receipt.signature)) return false;
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

Result<std::uint32_t> admit_all(Admission& admission, const PublicKey& hub_key,
                                const google::protobuf::RepeatedPtrField<proto::Segment>& segments,
                                std::vector<RefusedLog>& refused) {
  std::uint32_t admitted = 0;
  std::set<LogId> failed;
  for (const bool of_hub : {true, false}) {
    for (const proto::Segment& message : segments) {
      if ((ByteView(message.device_key()) == view(hub_key)) != of_hub) continue;
      const LogId log{message.log()};
      if (failed.count(log) != 0) continue;
      IncomingSegment segment;
      Result<std::uint32_t> result = fail(ErrorCode::kMalformed, "taking in a log: its key or seal has not the right size; nothing of it was kept");
      if (take_segment(message, segment)) result = admission.admit(segment);
      if (result) {
        admitted += *result;
        continue;
      }
      if (is_own_trouble(result.error().code)) return fail(result.error());
      refused.push_back({log, message.first_seq(), result.error()});
      failed.insert(log);
    }
    if (of_hub) WRACKLINE_TRY(admission.move_branches());
  }
  return admitted;
}

Result<bool> add_lacking(Store& store, const PublicKey& hub_key, const VersionVector& theirs,
                         const std::vector<RefusedLog>& skip, std::size_t bytes_wanted,
                         google::protobuf::RepeatedPtrField<proto::Segment>& out, std::uint32_t& changes) {
  std::size_t bytes = 0;
  for (const bool of_hub : {true, false}) {
    for (const auto& [id, log] : store.logs().all()) {
      if (!log.device || (*log.device == hub_key) != of_hub) continue;
      const LogId log_id = id;
      if (std::any_of(skip.begin(), skip.end(), [&](const RefusedLog& r) { return r.log == log_id; })) continue;
      const auto there = theirs.find(id);
      const Seq after = there == theirs.end() ? 0 : there->second.seq;
      if (after >= log.sealed) continue;
      if (bytes >= bytes_wanted) return false;
      WRACKLINE_TRY_VALUE(runs, store.logs().runs_after(log, after, bytes_wanted - bytes));
      for (const SealedRun& run : runs) {
        put_segment(log, run, *out.Add());
        changes += run.last() - std::max(after, run.first - 1);
        bytes += run.body.size() + 128;
      }
      if (runs.empty() || runs.back().last() < log.sealed) return false;
    }
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
