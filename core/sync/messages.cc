#include "sync/messages.h"

#include <algorithm>
#include <set>

namespace wrackline {

void put_vector(const VersionVector& vector, proto::Vector& out) {
  for (const auto& [log, point] : vector) {
    proto::VectorEntry& entry = *out.add_entries();
    entry.set_log(log.value);
    entry.set_seq(point.seq);
    entry.set_head(point.head);
  }
}

VersionVector take_vector(const proto::Vector& message) {
  VersionVector out;
  for (const proto::VectorEntry& entry : message.entries()) {
    if (entry.log() != 0) out[LogId{entry.log()}] = {entry.seq(), entry.head()};
  }
  return out;
}

namespace {

bool take_path(ByteView bytes, TreePath& out) {
  if (bytes.size() % sizeof(Hash) != 0) return false;
  for (; !bytes.empty(); bytes.remove_prefix(sizeof(Hash))) (void)copy_exactly(bytes.substr(0, sizeof(Hash)), out.emplace_back());
  return true;
}

bool take_opening(const proto::Opening& message, LogOpening& out, Frontier& start) {
  if (message.log_class() > 255 || message.start_seq() > kSeqMax) return false;
  out.log_class = static_cast<LogClass>(message.log_class());
  out.area = {LogId{message.area().log()}, message.area().seq()};
  const auto read = Frontier::read(message.start_seq(), message.start());
  if (read) start = *read;
  return read && copy_exactly(message.device_key(), out.device) && copy_exactly(message.nonce(), out.nonce);
}

bool take_seal(const proto::Sealing& message, LogSeal& out) {
  out.size = message.size();
  out.seen.log = LogId{message.seen_log()};
  out.seen.size = message.seen_size();
  if (message.size() > kSeqMax || message.steps_size() > static_cast<int>(kSealStepsMax)) return false;
  if (out.seen.size > 0 && !copy_exactly(message.seen_root(), out.seen.root)) return false;
  for (const proto::Consistency& step : message.steps()) {
    ConsistencyStep& to = out.steps.emplace_back();
    to.size = step.size();
    if (!copy_exactly(step.root(), to.root) || !take_path(step.path(), to.path)) return false;
  }
  return copy_exactly(message.root(), out.root) && copy_exactly(message.signature(), out.signature);
}

}  // namespace

void put_opening(const LogOpening& opening, const Frontier& start, proto::Opening& out) {
  out.set_device_key(Bytes(view(opening.device)));
  out.set_log_class(static_cast<std::uint32_t>(opening.log_class));
  if (opening.area) {
    out.mutable_area()->set_log(opening.area.log.value);
    out.mutable_area()->set_seq(opening.area.seq);
  }
  out.set_nonce(Bytes(view(opening.nonce)));
  out.set_start_seq(static_cast<Seq>(start.size()));
  out.set_start(start.bytes());
}

void put_seal(const LogSeal& seal, proto::Sealing& out) {
  out.set_size(static_cast<Seq>(seal.size));
  out.set_root(Bytes(view(seal.root)));
  if (seal.seen.size > 0) {
    out.set_seen_log(seal.seen.log.value);
    out.set_seen_size(static_cast<std::uint32_t>(seal.seen.size));
    out.set_seen_root(Bytes(view(seal.seen.root)));
  }
  out.set_signature(Bytes(view(seal.signature)));
  for (const ConsistencyStep& step : seal.steps) {
    proto::Consistency& to = *out.add_steps();
    to.set_size(static_cast<Seq>(step.size));
    to.set_root(Bytes(view(step.root)));
    Bytes path;
    for (const Hash& hash : step.path) path += view(hash);
    to.set_path(path);
  }
}

void put_runs(const LogEntry& log, const OutgoingRuns& runs, const Frontier* start,
              google::protobuf::RepeatedPtrField<proto::Segment>& out) {
  for (const OutgoingRun& run : runs.runs) {
    proto::Segment& segment = *out.Add();
    segment.set_log(log.id.value);  // A branch under its own id; its seal speaks of the root.
    segment.set_first_seq(run.first);
    segment.set_count(run.count);
    segment.set_codec(run.packed.codec);
    segment.set_body(run.packed.body);
    segment.set_seeds(run.seeds);
    if (start != nullptr && &run == &runs.runs.front()) put_opening(*log.opening, *start, *segment.mutable_opening());
    if (&run == &runs.runs.back()) put_seal(runs.seal, *segment.mutable_sealing());
  }
}

bool take_log(const google::protobuf::RepeatedPtrField<proto::Segment>& segments, int& at, IncomingLog& out) {
  out.log = LogId{segments[at].log()};
  bool is_sound = true;
  if (segments[at].has_opening()) is_sound = take_opening(segments[at].opening(), out.opening.emplace(), out.start);
  for (; at < segments.size() && segments[at].log() == out.log.value; ++at) {
    const proto::Segment& segment = segments[at];
    out.runs.push_back({segment.first_seq(), segment.count(), segment.codec(), segment.body(), segment.seeds()});
    if (!segment.has_sealing()) continue;
    is_sound = take_seal(segment.sealing(), out.seal) && is_sound;
    ++at;
    return is_sound;
  }
  return false;  // Nothing seals it.
}

Status check_facility_and_protocol(const Store& store, const std::string& facility, std::uint32_t protocol) {
  if (protocol == 0 || facility.size() != store.facility().size()) {
    return fail(ErrorCode::kMalformed, "reading an exchange: it is no message of ours; nothing was kept");
  }
  if (protocol < kProtocol) {
    return fail(ErrorCode::kUnsupported, "reading an exchange: the other side follows older rules (" + std::to_string(protocol) +
                                             "); nothing was kept; update the other program");
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
                                std::vector<RefusedLog>& refused, const std::function<bool()>& is_over) {
  struct Came {
    IncomingLog log;
    bool is_sound = false;
    bool is_done = false;
  };
  std::vector<Came> came;
  for (int at = 0; at < segments.size();) {
    Came& log = came.emplace_back();
    log.is_sound = take_log(segments, at, log.log);
  }
  std::uint32_t admitted = 0;
  std::set<LogId> failed;
  const std::size_t refused_before = refused.size();
  bool has_looked = false;
  const auto take = [&](Came& each) -> Status {
    each.is_done = true;
    if (has_looked && is_over && is_over()) return {};
    has_looked = true;
    if (failed.count(each.log.log) != 0 || refused.size() - refused_before >= kRefusalsMax) return {};
    Result<std::uint32_t> result =
        fail(ErrorCode::kMalformed, "taking in a log: what says whose it is, or its seal, is missing or has not the right size; nothing of it was kept");
    if (each.is_sound) result = admission.admit(each.log);
    if (!result) {
      if (is_own_trouble(result.error().code)) return fail(result.error());
      refused.push_back({each.log.log, each.log.runs.empty() ? 0 : each.log.runs.front().first, result.error()});
      failed.insert(each.log.log);
      return {};
    }
    admitted += *result;
    return {};
  };
  const auto take_of_hub = [&](bool of_former_key) -> Result<bool> {
    bool has_taken = false;
    for (Came& each : came) {
      const auto opening = admission.opening_of(each.log);
      const bool is_wanted = opening && devices.hub().is_key(opening->device) && devices.hub().is_former(opening->device) == of_former_key;
      if (each.is_done || !is_wanted) continue;
      WRACKLINE_TRY(take(each));
      has_taken = true;
    }
    return has_taken;
  };
  // One key of the hub may make another known, and vouches for what came of those before it.
  for (bool has_more = true; has_more;) {
    WRACKLINE_TRY_VALUE(has_taken, take_of_hub(false));
    has_more = has_taken;
    if (has_more) continue;
    WRACKLINE_TRY_VALUE(has_taken_of_former, take_of_hub(true));
    has_more = has_taken_of_former;
  }
  WRACKLINE_TRY(admission.move_branches());
  for (Came& each : came) {
    if (!each.is_done) WRACKLINE_TRY(take(each));
  }
  return admitted;
}

void tell_contradictions(const Admission& admission, std::vector<RefusedLog>& out) {
  for (const LogId log : admission.contradictions()) {
    out.push_back({LogId(), 0,
                   {ErrorCode::kFork, "comparing arrivals: the device of log " + to_text(log) +
                                          " has seen other arrivals at the hub than are held here; somebody has been shown another hub, or the hub was put "
                                          "back; everything was kept; tell an admin"}});
  }
}

namespace {

struct Lacking {
  const LogEntry* log;
  Seq after;
  bool is_new;  // The other side holds nothing of it.
};

std::vector<Lacking> lacking(Store& store, bool of_hub, const VersionVector& theirs, const std::vector<RefusedLog>& skip) {
  std::vector<Lacking> out;
  std::set<LogId> skipped;
  for (const RefusedLog& refused : skip) skipped.insert(refused.log);
  for (const auto& [id, log] : store.logs().all()) {
    if (!log.opening || store.records().hub().is_key(log.opening->device) != of_hub) continue;
    if (skipped.count(id) != 0) continue;
    const auto there = theirs.find(id);
    Seq after = there == theirs.end() ? 0 : there->second.seq;
    // The end of a log of arrivals will do; a branch is sent from where it begins.
    if (there == theirs.end() && log.is_arrivals() && log.sealed > kArrivalsSent) {
      after = static_cast<Seq>((log.sealed - kArrivalsSent) / kBlockLeaves * kBlockLeaves);
    }
    if (there == theirs.end()) after = std::max(after, log.base());
    if (after < log.sealed) out.push_back({&log, after, there == theirs.end()});
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
    // Nothing shows that the part of the log that is here is its device's.
    if (runs.runs.empty()) return true;
    Frontier start;
    if (!part.log->branch && part.after > 0 && part.is_new) {
      WRACKLINE_TRY_VALUE(tree, store.logs().tree_at(*part.log, part.after));
      start = std::move(tree);
    }
    put_runs(*part.log, runs, part.is_new ? &start : nullptr, out);
    for (const OutgoingRun& run : runs.runs) {
      changes += run.count;
      bytes += run.packed.body.size() + 64;
    }
    return runs.runs.back().last() >= part.log->sealed;
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
    if (log == nullptr || !log->opening || point.seq == 0 || point.seq > log->head.seq || point.seq < log->base()) continue;
    WRACKLINE_TRY_VALUE(tree, store.logs().tree_at(*log, point.seq));
    if (first8(tree.root()) == point.head) continue;
    forks.push_back({id, point.seq,
                     {ErrorCode::kFork, "comparing log " + to_text(id) +
                                            ": the two replicas hold two branches of it; nothing was mixed or lost; the "
                                            "hub keeps the second one apart for an officer"}});
  }
  return {};
}

}  // namespace wrackline
