// The hub's side of TLS: what it shows and what it agrees to.
//
// TLS 1.3 alone, unless 1.2 is asked for (then with forward secrecy and authenticated ciphers only). No
// tickets and no early data: a session of ours is a token, and a request must not be replayed from a
// recording.
#pragma once

#include <boost/asio/ssl/context.hpp>

#include "base/result.h"
#include "certificate.h"
#include "hub_directory.h"

namespace wrackline {

struct TlsOptions {
  bool allow_tls12 = false;
};

struct HubTls {
  boost::asio::ssl::context context;
  CertificateFacts certificate;
};

// Errors: kNotFound, kKeystore when others may read the key, kInvalid when certificate and key do not fit.
// A certificate that has expired is served all the same: devices say what is wrong, and /metrics can still be
// read.
Result<HubTls> make_tls(const HubDirectory& directory, const TlsOptions& options);

}  // namespace wrackline
