// This file says what a record of kind `device` says: whose key it is, and what that key goes on from (proto/roster.proto).
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline {

struct DeviceFields {
  std::string name;
  std::array<unsigned char, 32> key{};  // Ed25519
  WallMs enrolled_ms = 0;               // The hub's clock at that time; 0 = not told.
  RecordId continues;                   // The same device under the key before.
  bool of_hub = false;
  // The person who had the code made that let it in, and the device it was made at; none for a code of the
  // hub's own machine.
  RecordId invited_by, invited_from;
  std::vector<ChangeId> ends;  // The last change that counts, of each log of a key that the hub uses no more.
};

// None where there is no key that may be one (is_sound_key): such a record enrols nobody.
std::optional<DeviceFields> device_fields(ByteView fields);
Bytes to_fields(const DeviceFields& device);

}  // namespace wrackline
