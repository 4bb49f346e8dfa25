#include "sync/admission.h"

#include <string>

#include "crypto/texts.h"
#include "log/chain.h"
#include "log/change_run.h"

namespace wrackline {
namespace {

Unexpected refuse(ErrorCode code, const IncomingSegment& s, const char* why) {
  return fail(code, "taking in log " + to_text(s.log) + " from change " + std::to_string(s.first) + ": " + why);
}

}  // namespace

bool is_own_trouble(ErrorCode code) {
  return static_cast<std::uint32_t>(code) >= static_cast<std::uint32_t>(ErrorCode::kStorage);
}

Result<std::uint32_t> Admission::admit(const IncomingSegment& segment) {
  if (!segment.log || segment.first == 0 || segment.count == 0 || segment.count > kRunChangesMax ||
      segment.first > kSeqMax - segment.count) {
    return refuse(ErrorCode::kMalformed, segment, "it names no run of changes; nothing of it was kept");
  }
  const LogEntry* known = store_.logs().find(segment.log);
  if (known != nullptr && known->device && *known->device != segment.device) {
    return refuse(ErrorCode::kBadSeal, segment, "the log belongs to another device's key; nothing of it was kept");
  }
  const Seq held = known == nullptr ? 0 : known->head.seq;
  const Seq last = segment.first + segment.count - 1;
  if (segment.first > held + 1) {
    return refuse(ErrorCode::kLogGap, segment, "changes before it are missing here; it was not kept; send the log from the change after the last one held");
  }
  WRACKLINE_TRY_VALUE(device, devices_.find(segment.device));
  if (device.standing == DeviceStanding::kUnknown) {
    return refuse(ErrorCode::kUnknownDevice, segment,
                  "its device is not known here; it was not kept; exchange with the hub, which knows its devices, then try again");
  }

  WRACKLINE_TRY_VALUE(unpacked, unpack_run(segment.codec, segment.body, segment.count));
  const auto shared_run = std::make_shared<const ChangeRun>(std::move(unpacked));
  const ChangeRun& run = *shared_run;
  Hash chain = chain_start(store_.facility(), segment.log, segment.device);
  if (known != nullptr && known->device) {
    WRACKLINE_TRY_VALUE(before, store_.logs().chain_at(*known, segment.first - 1));
    chain = before;
  }
  std::vector<Change> changes(run.size());
  Hash chain_at_held{};
  for (std::size_t i = 0; i < run.size(); ++i) {
    WRACKLINE_TRY_VALUE(change, read_change(run[i]));
    changes[i] = std::move(change);
    chain = chain_next(chain, run[i]);
    if (segment.first + i == held) chain_at_held = chain;
  }
  if (!verify_signature(segment.device, seal_text(store_.facility(), {segment.log, last}, chain), segment.seal)) {
    return refuse(ErrorCode::kBadSeal, segment,
                  "the seal does not match: it was altered on the way, or the log was continued twice; nothing of it was kept");
  }
  const bool overlaps = segment.first <= held;
  if (overlaps) {
    WRACKLINE_TRY_VALUE(here, store_.logs().chain_at(*known, last < held ? last : held));
    if (here != (last <= held ? chain : chain_at_held)) {
      return refuse(ErrorCode::kFork, segment,
                    "another branch of this log is held here; both stay where they are; an officer must look at the device");
    }
    if (last <= held) return 0u;
  }
  if (device.standing == DeviceStanding::kRevoked && !(vouches_ && vouches_(segment.log, last))) {
    return refuse(ErrorCode::kRevokedDevice, segment,
                  "its device was revoked; it was not kept here and stays on the device; an officer must decide");
  }

  WRACKLINE_TRY_VALUE(log, store_.logs().intern(segment.log));
  if (!log->device) WRACKLINE_TRY(store_.logs().set_device(*log, segment.device));
  const std::size_t skip = held + 1 - segment.first;
  if (skip == 0) {
    WRACKLINE_TRY(store_.logs().append(*log, {segment.codec, Bytes(segment.body)}, segment.count, chain, &segment.seal));
    store_.logs().remember(*log, shared_run);
  } else {
    ChangeRun rest;
    for (std::size_t i = skip; i < run.size(); ++i) rest.append(run[i]);
    WRACKLINE_TRY(store_.logs().append(*log, pack_run(rest), static_cast<std::uint32_t>(rest.size()), chain, &segment.seal));
  }
  for (std::size_t i = skip; i < run.size(); ++i) {
    if (latest_stamp_ < changes[i].stamp) latest_stamp_ = changes[i].stamp;
    WRACKLINE_TRY(store_.records().apply(place_of(log->no, segment.first + static_cast<Seq>(i)), changes[i]));
  }
  return static_cast<std::uint32_t>(run.size() - skip);
}

}  // namespace wrackline
