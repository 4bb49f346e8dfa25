// A device's short name where its full key would be too long and its given name too telling: in the log, and
// where two devices share a name.
#pragma once

#include <string>

#include "base/bytes.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"

namespace wrackline {

// The first 8 hexadecimal digits of its key's SHA-256.
inline std::string device_word(const PublicKey& device) {
  return to_hex(view(sha256(view(device)))).substr(0, 8);
}

}  // namespace wrackline
