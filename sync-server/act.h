// Somebody at a device has the hub write in their name, above all what nobody else may write, or make a one-time code for a PIN: POST
// /v1/act.
//
// A session proves the device and not the person, so the PIN comes along and is checked here. That they were at the device is noted too.
#pragma once

#include "base/bytes.h"
#include "base/result.h"
#include "crypto/signing.h"

namespace wrackline {

class Replica;

// A serialised ActReply. `request` is an ActRequest as it came in a session of `device`. What the core refuses comes back in the reply.
// Errors: kMalformed; kWrongPin (or none is set), kUnauthorized (no admin), kRateLimited, kNotFound; of the store.
Result<Bytes> act(Replica& replica, const PublicKey& device, ByteView request);

}  // namespace wrackline
