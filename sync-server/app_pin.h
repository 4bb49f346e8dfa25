// A hub serves releases of the tablet app by the one key that its admin pinned, and never an older one than it has served
// since. Both stand in the file `app-pin`.
#pragma once

#include "app_release.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "hub_directory.h"

namespace wrackline {

struct AppPin {
  PublicKey key{};
  std::string newest;  // AppManifest::released of the newest that was served; empty: none was.
};

// Pins the key, and forgets what was served before: so an admin goes back to an older release by pinning its key once more.
// Errors: kInvalid for what is nobody's key; kStorage and kin.
Status pin_app_key(const HubDirectory& directory, const PublicKey& key);
// Errors: kNotFound when none was pinned; kMalformed, kKeystore, kStorage.
Result<AppPin> read_app_pin(const HubDirectory& directory);

// The app, if it may be served here. Errors: of read_app_pin and open_app; kInvalid when it is older than one that was served.
Result<AppRelease> open_pinned_app(const HubDirectory& directory, const std::string& app);
// Remembers that it is served from now on. Errors: kStorage and kin.
Status note_served(const HubDirectory& directory, const AppRelease& release);

}  // namespace wrackline
