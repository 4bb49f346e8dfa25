// Whole copies of a database file, taken while others use it, and a look at a file's own soundness.
//
// A copy is of one moment: what was committed before it began is in it, what came later is not. It holds
// up nobody who writes meanwhile. The copy is one plain file, without -wal and -shm beside it.
//
// Threads: one at a time.
#pragma once

#include <functional>
#include <string>

#include "base/result.h"

namespace wrackline {

// Called now and then with pages copied and pages in all.
using CopyProgress = std::function<void(std::int64_t done, std::int64_t all)>;

// Copies the records in `from`, in the form they have, to `to`, which must not be there; durable when this returns, but
// for the directory entry. When it fails, what stands at `to` is of no use and the caller removes it.
// Errors: kNotFound, kMalformed (no database of ours), kNewerDatabase, kDiskFull, kStorage.
Status copy_records(const std::string& from, const std::string& to, const CopyProgress& progress);

// Looks through the file's own structure: pages, trees, indexes. Says nothing about what is written in them.
// Errors: kStorage with the first fault found; those of opening.
Status check_file(const std::string& path);

}  // namespace wrackline
