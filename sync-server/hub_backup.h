// `wrackline-server backup`: a copy of the hub's records in one file, taken while the hub serves.
//
// The copy is made beside its place, looked through, made durable and then given its name; an interrupted
// backup leaves nothing under that name, and the next one clears away what it did leave.
#pragma once

#include <cstdint>
#include <string>

#include "base/result.h"
#include "hub_directory.h"
#include "progress.h"

namespace wrackline {

struct BackupOptions {
  HubDirectory directory;
  std::string to;          // Must not be there.
  bool with_keys = false;  // Writes keys_file_of(to) too; see hub_keys.h for why this is not the rule.
};

struct BackupOutcome {
  std::uint64_t bytes = 0;
};

// Errors: kInvalid when something is at `to`; kNotFound when the directory holds no hub; kBusy when another
// backup writes to the same place; kDiskFull, kStorage and kin. Nothing is left at `to` then.
Result<BackupOutcome> back_up(const BackupOptions& options, const Progress& progress);

// "FILE.keys".
std::string keys_file_of(const std::string& backup);

}  // namespace wrackline
