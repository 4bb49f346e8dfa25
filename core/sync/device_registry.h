// The registry knows which devices may seal: what the hub has written into its own logs about them.
//
// A device is enrolled by a record of kind `device` in a log of the hub, and revoked when that record is struck. The key
// is read from the birth of the record alone, so no later edit can put another key in its place. A device that goes on
// under another key has a record for each, of which the older is struck.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "store/store.h"

namespace wrackline {

enum class DeviceStanding { kUnknown, kEnrolled, kRevoked };

class DeviceRegistry {
 public:
  explicit DeviceRegistry(Store& store) : store_(store) {}

  struct Device {
    DeviceStanding standing = DeviceStanding::kUnknown;
    std::string name;
    RecordId record;
    WallMs enrolled_ms = 0;  // The hub's clock at that time; 0 = not told.
    std::optional<PublicKey> continues;  // The key it had before.
  };
  // The hub itself is always enrolled, before its first record has arrived too; a key it uses no more is revoked.
  Result<Device> find(const PublicKey& key);
  // All of them, by key; the hub's keys among them.
  Result<std::map<PublicKey, Device>> all();
  const HubLineage& hub() const { return store_.records().hub(); }

 private:
  Status read();
  Store& store_;
  std::map<PublicKey, Device> devices_;
  std::uint64_t read_at_ = ~0ull;  // Projection::changes_of() then.
};

}  // namespace wrackline
