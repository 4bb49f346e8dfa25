// The manifest of a release of the tablet app: every file of it by its SHA-256 and size, and the key that vouches for them.
//
// It is a text, so that a person can read it and check it with the tools at hand:
//
//     wrackline-app 1
//     version 0.1.0
//     released 2026-12-01T06:05:41.000Z
//     key 5a0c...                             the release key, 64 digits
//     3f9a... 1042 /assets/index-B7c2.js      one line a file, by path
//
// There is one text for a release and one release for a text: anything else is malformed.
#pragma once

#include <map>
#include <string>

#include "base/bytes.h"
#include "base/result.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"

namespace wrackline {

struct AppManifest {
  struct File {
    Hash hash{};
    std::uint64_t bytes = 0;
  };
  std::string version;   // For people.
  std::string released;  // utc_text() of when it was signed: which of two is the newer. Such texts sort as their times do.
  PublicKey key{};
  std::map<std::string, File> files;  // The key is the path as requested: "/index.html".
};

Bytes to_text(const AppManifest& manifest);
// Errors: kMalformed.
Result<AppManifest> parse_app_manifest(ByteView text);

// Whether this can stand in a manifest: 1 to 40 letters, digits, dots and dashes.
bool is_app_version(std::string_view version);
// Whether this is a time as utc_text() writes it.
bool is_release_time(std::string_view time);

}  // namespace wrackline
