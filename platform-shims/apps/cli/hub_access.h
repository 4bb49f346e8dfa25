// The hub as a command sees it: found by the address and certificate kept at enrolment, with a session.
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "cli/client.h"
#include "hosts/blob_exchange.h"
#include "hosts/hub_client.h"

namespace wrackline::cli {

class Hub {
 public:
  // Reads address and certificate, connects and opens a session. Throws Stop.
  explicit Hub(Client& client);

  // Opens another session when the old one has ended meanwhile. Throws Stop.
  Bytes post(const std::string& path, const Bytes& body);

  // The same for attached files (blob_exchange.h), without Stop: files may wait. Outlived by this Hub.
  FileRoute files();

  // Asks the hub's own replica. Throws Stop when it answers with a failure.
  Bytes query(const Bytes& call) { return post("/v1/query", call); }

  // Has the hub know this device by another key from here on; the session ends with it. Throws Stop.
  void replace_key(Keystore& next);

  const std::string& address() const { return address_; }

 private:
  Status open();
  Result<Bytes> in_session(const std::function<Result<Bytes>()>& ask);

  Client& client_;
  std::string address_;
  std::unique_ptr<HubClient> http_;
  HubSession session_;
};

// The hub's address and certificate as they were kept, without a session. Throws Stop.
HubClient::Options hub_options(const StateDir& dir);

// This replica, or the hub's. Their answers to one call are the same, to the byte, once both hold the same records.
Ask asks(Client& client, bool the_hub);

}  // namespace wrackline::cli
