// Whose word is the hub's. The one place of the calls that says which keys are the hub's and what they signed.
#pragma once

#include "crypto/signing.h"
#include "replica/replica.h"

namespace wrackline {

inline bool is_hub_key(const Replica& replica, const PublicKey& key) { return key == replica.membership().hub_key; }

inline bool is_signed_by_hub(const Replica& replica, ByteView text, const Signature& signature) {
  return verify_signature(replica.membership().hub_key, text, signature);
}

}  // namespace wrackline
