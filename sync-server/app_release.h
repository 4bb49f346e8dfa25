// Signing a built tablet app, and telling whether one is what its release key signed.
//
// The release key belongs to whoever builds the app, and to no hub. A signed app has two files more: its manifest
// (app_manifest.h), and the key's signature over that.
#pragma once

#include <string>

#include "app_files.h"
#include "app_manifest.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"

namespace wrackline {

struct AppRelease {
  AppFiles files;
  AppManifest manifest;
  Hash hash{};  // The hash of the manifest's text: the one number that stands for all of the app.
};

// Signs what is in the directory now; a signature that is there is replaced. The build says its version in version.txt.
// Errors: of AppFiles::read; kInvalid where it says none; kKeystore, kStorage and kin.
Result<AppRelease> sign_app(const std::string& directory, Keystore& key, WallMs now);

// Errors: of AppFiles::read; kBadSeal when it is not signed, not by this key, or a file is altered, missing or in no manifest.
Result<AppRelease> open_app(const std::string& directory, const PublicKey& key);

// The text that people compare: "0.1.0 of 2026-12-01T06:05:41.000Z, manifest 3f9a 12bc ...".
std::string to_text(const AppRelease& release);

}  // namespace wrackline
