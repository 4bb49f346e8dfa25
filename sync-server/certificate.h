// The hub's TLS certificate: judging one that is there, and what it says.
#pragma once

#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

struct CertificateFacts {
  WallMs expires_ms = 0;
  std::string fingerprint;  // SHA-256 of the DER form, "AB:CD:...", as openssl and browsers show it.
  // The alternative names by which devices reach the hub: without those of the machine itself.
  std::vector<std::string> hosts;
  bool is_self_signed = false;
};
// Reads the facts of the first certificate in `pem`, after checking that `key_pem` holds its private key.
// Errors: kInvalid, with which of the two does not fit.
Result<CertificateFacts> check_pair(ByteView certificate_pem, ByteView key_pem);

// Names by which a machine reaches itself; every certificate of the hub's has them.
inline constexpr const char* kOwnNames[] = {"localhost", "127.0.0.1", "::1"};

}  // namespace wrackline
