// Whose word is the hub's. The one place of the calls that says which keys are the hub's and what they signed.
#pragma once

#include <algorithm>

#include "crypto/signing.h"
#include "replica/replica.h"
#include "store/hub_lineage.h"

namespace wrackline {

inline bool is_hub_key(Replica& replica, const PublicKey& key) { return replica.devices().hub().is_key(key); }

inline bool is_signed_by_hub(Replica& replica, ByteView text, const Signature& signature) {
  const std::vector<PublicKey>& keys = replica.devices().hub().keys();
  return std::any_of(keys.begin(), keys.end(), [&](const PublicKey& key) { return verify_signature(key, text, signature); });
}

}  // namespace wrackline
