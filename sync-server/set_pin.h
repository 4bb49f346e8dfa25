// `wrackline-server set-pin`: gives somebody a PIN at the hub itself, the first admin's above all. It may be run while the hub serves.
//
// Where the facility asks for proofs (proof_required) nobody's PIN changes on a device's word, so a first one, or one that nobody
// remembers, comes from an admin who has proved who they are, or from here.
#pragma once

#include <string>

#include "base/result.h"
#include "hub_directory.h"

namespace wrackline {

struct SetPinOptions {
  HubDirectory directory;
  std::string person;  // By name.
  std::string pin;
  std::string reason;
};

// Errors: kNotFound, kInvalid (the name, the PIN or the reason; the message says which); kKeystore, kStorage and kin.
Status set_pin(const SetPinOptions& options);

}  // namespace wrackline
