// `wrackline-server verify`: whether a hub's records, or a backup of them, are whole and as they were sealed.
//
// Everything is looked at on a private copy, so neither a serving hub nor a backup is touched.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "crypto/signing.h"
#include "progress.h"

namespace wrackline {

struct Verdict {
  // Sentences, the first bad change first; empty when all is well.
  std::vector<std::string> problems;
  std::uint64_t logs = 0;
  std::uint64_t changes = 0;
  std::uint64_t seals = 0;
  std::uint64_t arrivals = 0;  // Words of the hub about when changes came, that agree.
  std::uint64_t unsealed = 0;  // The changes of the hub's own log that are not sealed yet.
  std::uint64_t records = 0;
  std::string digest;  // The hash of the merged records, hexadecimal; empty when there are problems.
  PublicKey hub_key{};  // The key by which all of it was judged.
  bool is_vouched = false;  // The key came from whoever asked, and not from the file itself.
  bool good() const { return problems.empty(); }
};

// `records` is a database file. The copy stands beside it, or beside `work` when that is given; it needs as
// much room as the file. `hub_key` is the hub's as whoever asks knows it, from elsewhere than the file: whoever can write
// a file can also make up a hub for it. Without one the file's own word is taken, and the verdict says so. Errors: what kept
// it from looking; a fault found is no error but part of the verdict.
Result<Verdict> verify(const std::string& records, const std::string& work, const std::optional<PublicKey>& hub_key,
                       const Progress& progress);

// The same on a file that nobody else uses and that may be written to.
Result<Verdict> verify_private(const std::string& records, const std::optional<PublicKey>& hub_key, const Progress& progress);

}  // namespace wrackline
