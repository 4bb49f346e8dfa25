// `wrackline-server set-pin` and `pin-code`: gives somebody a PIN, or a one-time code to choose one with, at the hub's own machine. They may
// be run while the hub serves.
//
// An admin gives such codes at any device; who runs the hub gives one to an admin who has forgotten theirs.
#pragma once

#include <string>

#include "base/result.h"
#include "hub_directory.h"

namespace wrackline {

struct SetPinOptions {
  HubDirectory directory;
  std::string person;  // The person's name.
  std::string pin;     // For set_pin().
  std::string reason;
};

// Errors: kNotFound, kInvalid (the name, the PIN or the reason; the message says which); kKeystore, kStorage and kin.
Status set_pin(const SetPinOptions& options);
// The code; told once, here. Errors: as above.
Result<std::string> give_code(const SetPinOptions& options);

}  // namespace wrackline
