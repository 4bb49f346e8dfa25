// The hub's side of TLS: what it shows and what it agrees to.
//
// TLS 1.3 alone, unless 1.2 is asked for (then with forward secrecy and authenticated ciphers only). No
// tickets and no early data: a session of ours is a token, and a request must not be replayed from a
// recording.
#pragma once

#include <boost/asio/ssl/context.hpp>
#include <memory>
#include <mutex>
#include <string>

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

// The TLS that new connections get. Certificate and key may be renewed while the hub serves: what is open
// goes on with what it began with.
//
// Threads: one at a time, but now(), which any may call.
class CurrentTls {
 public:
  // Errors: as make_tls().
  static Result<std::unique_ptr<CurrentTls>> open(const HubDirectory& directory, const TlsOptions& options);

  std::shared_ptr<HubTls> now() const {
    const std::lock_guard<std::mutex> alone(taking_);
    return tls_;
  }

  // Takes the files anew when they are others than at the last look, or `even_if_same`. True: new connections
  // get them from here on. An error means that they cannot be used and the ones before stay in force; it is
  // given once for each state of the files.
  Result<bool> look(bool even_if_same);

 private:
  CurrentTls(HubDirectory directory, const TlsOptions& options)
      : directory_(std::move(directory)), options_(options) {}
  // Changes when a file is written or replaced.
  std::string state_of_files() const;
  HubDirectory directory_;
  TlsOptions options_;
  std::string seen_;
  mutable std::mutex taking_;  // Over what follows.
  std::shared_ptr<HubTls> tls_;
};

}  // namespace wrackline
