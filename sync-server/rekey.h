// `wrackline-server rekey`: the hub goes on under another key.
//
// Planned, while the old key is there: the old key's log ends with a record that hands over to the new key,
// and every replica follows by itself. Lost or not to be trusted: nothing is signed by the old key any more,
// and a person pins the new key on each device (`wrack repin`).
//
// A crash leaves a hub that starts, under the old key or the new one (key_change.h in platform-shims/hosts).
#pragma once

#include <cstdint>
#include <string>

#include "base/result.h"
#include "hub_directory.h"

namespace wrackline {

struct RekeyOptions {
  HubDirectory directory;
  std::string by;      // Name of the admin who decides.
  std::string reason;  // Stays in the trail.
  bool is_lost = false;
};

struct RekeyOutcome {
  std::string hub_key;        // 64 hexadecimal digits, as a person compares them.
  std::uint32_t dropped = 0;  // Changes of the hub's own that were not sealed yet, when the key was lost.
};

// The hub must not be serving. Errors: kBusy when it is; kNotFound for the admin; kInvalid, kKeystore,
// kStorage and kin.
Result<RekeyOutcome> rekey(const RekeyOptions& options);

// The key that devices pin, 64 hexadecimal digits. Errors: kNotFound when it is no hub's directory; kStorage.
Result<std::string> hub_key_of(const HubDirectory& directory);

}  // namespace wrackline
