// Files that only their owner may read: private keys, enrolment codes.
//
// Errors name the file and what stands in the way; never what is in it.
#pragma once

#include <string>

#include "base/bytes.h"
#include "base/result.h"

namespace wrackline {

// Makes `path` with mode 0600, durable (file and directory) when this returns. Never writes over a file that
// is there; what was begun is removed again when it fails.
// Errors: kInvalid when the file exists, kDiskFull, kReadOnly, kStorage.
Status create_private_file(const std::string& path, ByteView content);

// The same, but in place of a file that may be there: readers see the old content or the new, whole.
// Errors: kDiskFull, kReadOnly, kStorage; then the old content still stands.
Status replace_private_file(const std::string& path, ByteView content);

// Reads a file that must be a regular one, at most `bytes_max` long, which no other user may read or write.
// Errors: kNotFound, kKeystore when others may read it, kTooLarge, kStorage.
Result<Bytes> read_private_file(const std::string& path, std::size_t bytes_max);

// Makes the name of a file that was just made or moved durable. Errors: kStorage and kin.
Status sync_directory_of(const std::string& path);

}  // namespace wrackline
