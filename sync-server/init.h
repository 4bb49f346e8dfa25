// `wrackline-server init`: makes a new facility's hub directory.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "hub_directory.h"

namespace wrackline {

struct InitOptions {
  HubDirectory directory;
  std::string facility_name;
  std::string time_zone;           // IANA name.
  std::vector<std::string> hosts;  // The names by which devices reach the hub.
  std::string certificate_path;    // With its key, instead of one that the hub's own authority signs; both or neither.
  std::string certificate_key_path;
  std::string admin_name;
  bool proof_required = true;      // See Facility.proof_required in proto/roster.proto.
};

struct InitOutcome {
  std::string facility_id;              // Hexadecimal.
  std::string certificate_fingerprint;  // SHA-256.
  std::string certificate_expires;      // UTC.
  std::string pin_code;                 // The code with which the first admin chooses a PIN; told once, here.
};

// All of the directory or nothing: it is made beside its place and then moved there. The place must be free,
// or an empty directory. Errors: kInvalid with what is wrong in the options or in the way; kKeystore,
// kStorage and kin.
Result<InitOutcome> init(const InitOptions& options);

}  // namespace wrackline
