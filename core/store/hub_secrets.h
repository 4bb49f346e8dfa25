// This file says what only hubs know: rows of a hub's database that go into no log, and so into no exchange, bundle or evidence.
//
// Hubs that share a log share these too (SharedBatch.secrets), each row as its latest writer left it. A device's database has the
// table and nothing in it.
//
// Threads: one at a time. Lifetime: the database outlives it.
#pragma once

#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "store/sqlite.h"

namespace wrackline {

struct HubSecret {
  std::string name;
  WallMs set_ms = 0;  // The time on the clock of the hub that set it.
  Bytes value;        // Empty: taken away.
};

class HubSecrets {
 public:
  explicit HubSecrets(Database& database);

  // Empty when there is none.
  Result<Bytes> find(const std::string& name);
  // Within a Write. It counts over what stands there, whatever the clock says.
  Status set(const std::string& name, ByteView value, WallMs now);

  // The secrets that the shared log does not hold yet. Within a Write: note_shared() says that it does, forget_shared() that
  // it was put back.
  Result<std::vector<HubSecret>> unshared();
  Status note_shared();
  Status forget_shared();
  // Within a Write: what another hub has shared. The later one stays; of two of one moment the greater value.
  Status take(const HubSecret& secret);

 private:
  Statement find_, put_, unshared_;
  Database& database_;
};

}  // namespace wrackline
