// The texts that get signed, each with the name of its purpose in front.
#pragma once

#include "base/bytes.h"
#include "base/ids.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"

namespace wrackline {

// A device seals its log up to `last` by signing this.
Bytes seal_text(const FacilityId& facility, ChangeId last, const Hash& chain);
// The hub's word of when it first held a log up to `last`.
Bytes receipt_text(const FacilityId& facility, ChangeId last, std::uint64_t head, WallMs held);
// A device that enrols shows that it holds the private key.
Bytes enrolment_text(ByteView code, const PublicKey& device);
// A device that opens a session answers the hub's nonce.
Bytes session_text(const FacilityId& facility, ByteView nonce);

// A device that goes on under another key; both keys sign it.
Bytes rekey_text(const FacilityId& facility, const PublicKey& before, const PublicKey& next);

}  // namespace wrackline
