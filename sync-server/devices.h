// `wrackline-server devices` and `revoke`: which devices may come, when they last did, and ending that.
//
// Both work on the records directly and may be run while the hub serves: it notices at the device's next
// request.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "device_contacts.h"
#include "hub_directory.h"

namespace wrackline {

struct DeviceRow {
  std::string name;
  std::string word;  // device_word()
  WallMs enrolled_ms = 0;
  bool is_hub = false;
  std::string continues;  // The word of the key it had before; or empty.
  bool revoked = false;
  WallMs revoked_ms = 0;
  std::string revoked_reason;
  std::optional<DeviceContact> contact;
};

// In the order of enrolment. Errors: kNotFound, kKeystore, kStorage and kin.
Result<std::vector<DeviceRow>> list_devices(const HubDirectory& directory);

struct RevokeOptions {
  HubDirectory directory;
  std::string device;  // Its name, or its word.
  std::string reason;
  std::string by;  // Name of the admin who decides; empty: the trail names the hub alone.
};

// Strikes the device's record. What it sealed before stays good, and what is on it stays there. Errors:
// kNotFound and kInvalid with what to do about the name; kStorage and kin.
Result<DeviceRow> revoke(const RevokeOptions& options);

}  // namespace wrackline
