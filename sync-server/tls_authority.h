// An authority of the hub's own, and the certificate that it signs for the hub's TLS.
//
// A browser takes in no certificate but an authority's, and one that it has taken in may vouch for every name there is. This one
// may not: name constraints (RFC 5280, section 4.2.1.10) bind it to the hub's own names. So a tablet that trusts it trusts this hub and
// nobody else, and the hub's certificate can be renewed without a walk to each tablet.
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

// For `hosts` (names or IP addresses) and the machine's own names, valid from an hour before `now` (tablets' clocks differ) for ten
// years. P-256 and not Ed25519, because browsers' TLS does not know the latter.
// Errors: kInvalid for a host that is neither a name nor an address; kKeystore.
Result<CertificatePair> make_tls_authority(const std::vector<std::string>& hosts, WallMs now);

inline constexpr WallMs kCertificateLastsMs = 2 * 365 * kDayMs;
// The same for two years, signed by `authority`. It can sign no other certificate. Errors: as above.
Result<CertificatePair> make_certificate(const CertificatePair& authority, const std::vector<std::string>& hosts, WallMs now);

}  // namespace wrackline
