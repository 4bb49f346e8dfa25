// Which devices may seal: what the hub has written into its own log about them.
//
// A device is enrolled by a record of kind `device` in a log of the hub's key, and revoked when that record is
// struck. The key is read from the birth of the record alone, so no later edit can put another key in its place.
#pragma once

#include <map>
#include <string>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "store/store.h"

namespace wrackline {

enum class DeviceStanding { kUnknown, kEnrolled, kRevoked };

class DeviceRegistry {
 public:
  DeviceRegistry(Store& store, const PublicKey& hub_key) : store_(store), hub_key_(hub_key) {}

  struct Device {
    DeviceStanding standing = DeviceStanding::kUnknown;
    std::string name;
    RecordId record;
    WallMs enrolled_ms = 0;  // By the hub's clock; 0 = not told.
  };
  // The hub itself is always enrolled, before its first record has arrived too.
  Result<Device> find(const PublicKey& key);
  // All of them, by key; the hub itself among them.
  Result<std::map<PublicKey, Device>> all();
  const PublicKey& hub_key() const { return hub_key_; }

 private:
  Status read();
  Store& store_;
  PublicKey hub_key_;
  std::map<PublicKey, Device> devices_;
  std::uint64_t read_at_ = ~0ull;  // Projection::device_changes() then.
};

}  // namespace wrackline
