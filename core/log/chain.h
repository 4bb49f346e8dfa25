// The hash chain of a log: what a seal signs.
//
//   h(0) = SHA-256("wrackline/log/1" || facility || log id || device public key)
//   h(n) = SHA-256(h(n-1) || bytes of change n)
//
// h(0) ties the log to one facility and one device, so no segment can be passed off as another's.
#pragma once

#include "base/bytes.h"
#include "base/ids.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"

namespace wrackline {

Hash chain_start(const FacilityId& facility, LogId log, const PublicKey& device);
inline Hash chain_next(const Hash& previous, ByteView change_bytes) { return sha256(view(previous), change_bytes); }

// How far a log goes: its last seq and the chain hash there.
struct LogHead {
  Seq seq = 0;
  Hash hash{};
};

}  // namespace wrackline
