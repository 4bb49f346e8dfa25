// The records of a hub's directory, open, with its key and its fence. A process may be serving the same directory meanwhile.
#pragma once

#include <memory>

#include "base/result.h"
#include "crypto/signing.h"
#include "hub_directory.h"
#include "replica/fence.h"
#include "replica/replica.h"

namespace wrackline {

struct HubRecords {
  std::unique_ptr<Keystore> keystore;
  std::unique_ptr<Fence> fence;
  std::unique_ptr<Replica> replica;

  // With the key that stands in the directory. `doing` begins what a failure says.
  // Errors: kNotFound when it is no hub's directory; of the key file and of Replica::open.
  static Result<HubRecords> open(const HubDirectory& directory, const char* doing);
  // With another key. Errors: of Replica::open.
  static Result<HubRecords> open_with(const HubDirectory& directory, std::unique_ptr<Keystore> keystore);
};

// Whether there are records in it.
bool has_records(const HubDirectory& directory);

}  // namespace wrackline
