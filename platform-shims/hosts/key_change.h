// A key file that gives way to another, so that a crash at any point leaves a device (or a hub) that starts.
//
//   1. begin_key_change: the new key is written beside the old one, as PATH.next.
//   2. The hub is told; the records go on under the new key, in one transaction (Replica::change_key).
//   3. end_key_change: PATH.next takes the name of PATH.
//
// The database says which key is the right one. open_key() looks there when both files are present: before
// step 2 it gives the old key, and a change that was begun goes on with the same new one; after it the new
// key, and ends the change.
#pragma once

#include <memory>
#include <string>

#include "base/result.h"
#include "hosts/file_keystore.h"

namespace wrackline {

std::string next_key_path(const std::string& path);

// Makes the new key, or finds the one that an earlier change left. Errors: as FileKeystore::create and open.
Result<std::unique_ptr<FileKeystore>> begin_key_change(const std::string& path);

// Durable when it returns; the old key is gone. Errors: kNotFound when there is no new key; kReadOnly,
// kStorage.
Status end_key_change(const std::string& path);

// The key that the records are to be opened with. Errors: as FileKeystore::open and Replica::key_of.
Result<std::unique_ptr<FileKeystore>> open_key(const std::string& path, const std::string& records_path);

}  // namespace wrackline
