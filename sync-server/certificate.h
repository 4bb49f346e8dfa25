// The hub's TLS certificate: making one that needs no authority, and judging one that was given.
#pragma once

#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

struct CertificatePair {
  Bytes certificate_pem;
  Bytes key_pem;  // Private.
};

// A self-signed P-256 certificate for `hosts` (names or IP addresses), localhost, 127.0.0.1 and ::1, valid
// from an hour before `now` (tablets' clocks differ) for two years. It can sign no other certificate, so
// trusting it is trusting this hub and nothing else. P-256 and not Ed25519, because browsers' TLS does not
// know the latter. Errors: kInvalid for a host that is neither a name nor an address; kKeystore.
Result<CertificatePair> make_self_signed(const std::vector<std::string>& hosts, WallMs now);

struct CertificateFacts {
  WallMs expires_ms = 0;
  std::string fingerprint;  // SHA-256 of the DER form, "AB:CD:...", as openssl and browsers show it.
  // The first alternative name that is not the machine itself, as devices reach the hub; empty when there is
  // none.
  std::string host;
};
// Of the first certificate in `pem`, after checking that `key_pem` holds its private key.
// Errors: kInvalid, with which of the two does not fit.
Result<CertificateFacts> check_pair(ByteView certificate_pem, ByteView key_pem);

}  // namespace wrackline
