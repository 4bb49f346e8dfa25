// Somebody at a device chooses the PIN they sign in with: POST /v1/pin.
#pragma once

#include "base/bytes.h"
#include "base/result.h"
#include "crypto/signing.h"

namespace wrackline {

class Replica;

// Empty. `request` is a ChoosePinRequest as it came in a session of `device`. Errors: kMalformed; kWrongPin (neither their PIN nor
// their one-time code), kRateLimited, kNotFound, kInvalid (no good PIN); of the store.
Result<Bytes> choose_pin_at(Replica& replica, const PublicKey& device, ByteView request);

}  // namespace wrackline
