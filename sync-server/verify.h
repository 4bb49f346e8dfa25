// `wrackline-server verify`: whether a hub's records, or a backup of them, are whole and as they were sealed.
//
// Everything is looked at on a private copy, so neither a serving hub nor a backup is touched.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "progress.h"

namespace wrackline {

struct Verdict {
  // Sentences, the first bad change first; empty when all is well.
  std::vector<std::string> problems;
  std::uint64_t logs = 0;
  std::uint64_t changes = 0;
  std::uint64_t seals = 0;
  std::uint64_t receipts = 0;  // That hold.
  std::uint64_t unsealed = 0;  // Of the hub's own log, not sealed yet.
  std::uint64_t records = 0;
  std::string digest;  // Of the merged records, hexadecimal; empty when there are problems.
  bool good() const { return problems.empty(); }
};

// `records` is a database file. The copy stands beside it, or beside `work` when that is given; it needs as
// much room as the file. Errors: what kept it from looking; a fault found is no error but part of the
// verdict.
Result<Verdict> verify(const std::string& records, const std::string& work, const Progress& progress);

// The same on a file that nobody else uses and that may be written to.
Result<Verdict> verify_private(const std::string& records, const Progress& progress);

}  // namespace wrackline
