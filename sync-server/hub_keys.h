// The files that make a machine this hub: its Ed25519 key, its TLS certificate and that one's key; and the authority that signed the
// certificate with that one's key, where it is the hub's own.
//
// They are kept apart from a backup of the records, because the two need different care. Records are copied
// often, and a copy in the wrong hands tells what is in it. The keys never change, and in the wrong hands
// they let somebody be the hub: enrol devices, revoke them, give its word for records.
#pragma once

#include <string>

#include "base/bytes.h"
#include "base/result.h"
#include "hub_directory.h"

namespace wrackline {

struct HubKeys {
  Bytes hub_key;          // hub.key
  Bytes certificate;      // tls-cert.pem
  Bytes certificate_key;  // tls-key.pem
  Bytes authority = {};   // tls-authority.pem, and its key; both empty where there is none
  Bytes authority_key = {};  // tls-authority-key.pem
};

// Errors: kNotFound, kKeystore when others may read one of them, kStorage.
Result<HubKeys> read_hub_keys(const HubDirectory& directory);
// Errors: kInvalid when one is there already; kStorage and kin.
Status write_hub_keys(const HubKeys& keys, const HubDirectory& directory);

// All of them as one file of mode 0600. Never over a file. Errors: as above.
Status write_keys_file(const HubKeys& keys, const std::string& path);
// Errors: kMalformed when it is no such file; kNotFound, kKeystore when others may read it, kStorage.
Result<HubKeys> read_keys_file(const std::string& path);

// Overwrites them in memory.
void wipe(HubKeys& keys);

}  // namespace wrackline
