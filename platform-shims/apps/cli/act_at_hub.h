// This file says what only the hub may write: asked for with the author's PIN (POST /v1/act), then fetched.
#pragma once

#include <string>

#include <proving.pb.h>

#include "cli/client.h"

namespace wrackline::cli {

// One person's requests to the hub, for whom the PIN is asked once.
class AtHub {
 public:
  explicit AtHub(Client& client) : client_(client) {}

  // A call that writes, in its author's name; the reply as the hub's core gave it. What it wrote is here when this returns.
  // Throws Stop: the hub cannot be reached, or it was not the PIN.
  Reply write(const Call& call);
  // A one-time code by which somebody chooses a PIN, and until when it is good. Throws Stop.
  ActReply give_pin_code(const RecordRef& by, const RecordRef& person);

 private:
  ActReply post(const RecordRef& by, ActRequest request);

  Client& client_;
  std::string pin_;
};

}  // namespace wrackline::cli
