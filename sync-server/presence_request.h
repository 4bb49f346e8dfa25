// Somebody proves to the hub that they are at a device: POST /v1/presence.
//
// A session proves the device and not the person, so their PIN comes along and is checked here, against what hubs know (replica/pins.h): wrong ones are
// counted and slowed down as on any device. What is written then stands in the hub's log (kind 36) and reaches every replica.
#pragma once

#include "base/bytes.h"
#include "base/result.h"
#include "crypto/signing.h"

namespace wrackline {

class Replica;

// A serialised PresenceReply. `request` is a PresenceRequest as it came in a session of `device`. Errors: kMalformed; kWrongPin (or none
// is set), kRateLimited, kNotFound; those of Replica::note_presence.
Result<Bytes> prove_presence(Replica& replica, const PublicKey& device, ByteView request);

}  // namespace wrackline
