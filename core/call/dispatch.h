// The one call: bytes of a Call in, bytes of a Reply out (proto/call.proto).
#pragma once

#include "base/bytes.h"

namespace wrackline {

class Replica;
struct AtHub;

enum class CallScope {
  kAll,       // The owner of the replica: an app on its own device.
  kReadOnly,  // Somebody asking over the network: get, list, trail, review, intake, status, digest.
};

// Never throws and never fails otherwise than by a Reply with `failure` set; malformed bytes included.
Bytes dispatch(Replica& replica, ByteView call, CallScope scope = CallScope::kAll) noexcept;

// The same at a hub: only what is written in a person's name, which is this person's, whomever the call names. What was written is marked
// as asked for (sync/hub_acts.h) in the same transaction.
Bytes dispatch_at_hub(Replica& replica, ByteView call, const AtHub& asked) noexcept;

}  // namespace wrackline
