// `wrackline-server restore`: a hub's directory made from a backup and the hub's keys.
//
// The backup lacks what devices exchanged after it was made. They notice, since both sides compare what they
// hold in every exchange, and bring it again. The restored hub writes on in a new log: the old one may have
// gone on after the backup, and two different continuations of one log would be a fork.
#pragma once

#include <string>

#include "base/result.h"
#include "hub_directory.h"
#include "progress.h"
#include "verify.h"

namespace wrackline {

struct RestoreOptions {
  HubDirectory directory;  // Must not exist, or be empty.
  std::string from;        // The backup.
  std::string keys;        // A keys file or a directory with the three files; empty = keys_file_of(from).
};

// All or nothing, as init(). Errors: kInvalid when the place is taken, when the keys are another hub's, or
// when the backup is damaged (with the first fault); kNotFound, kKeystore, kMalformed, kStorage and kin.
Result<Verdict> restore(const RestoreOptions& options, const Progress& progress);

}  // namespace wrackline
