// What several hub processes of one facility share: a sequence of batches that only grows. It is the truth for them; the
// database of each is a projection of it, fed in its order.
//
// The port is this narrow so that anything that can keep a row behind another can stand behind it. Batches are opaque to
// it. That a batch is appended right behind the ones its writer has seen, or not at all, is what makes decisions of
// several hubs one sequence: which branch of a log came first, whether a key is enrolled already, what is held.
//
// Threads: one at a time.
#pragma once

#include <cstdint>
#include <vector>

#include "base/bytes.h"
#include "base/result.h"
#include "log/chain.h"

namespace wrackline {

// A place between two batches: how many came before it, and the hash chain over them (chain_next() from zeros), so that a
// sequence that went back and on differently is told from one that only grew.
struct SharedEnd {
  std::uint64_t batches = 0;
  Hash chain{};
};
inline SharedEnd behind(const SharedEnd& end, ByteView batch) { return {end.batches + 1, chain_next(end.chain, batch)}; }

class SharedLog {
 public:
  virtual ~SharedLog() = default;

  // Batches behind `after` in their order, until about `bytes_max`; at least one if there is one.
  // Errors: kFork when there is no such place (any more): the sequence was put back, or is another. kTransport when it
  // cannot be reached, kStorage when it fails.
  virtual Result<std::vector<Bytes>> read(const SharedEnd& after, std::size_t bytes_max) = 0;

  // Appends one batch right behind `after`; durable when it returns. Errors: kBusy when another was first, and nothing was
  // kept: read on and decide again. kTransport, kStorage: it may or may not have been kept; reading on tells.
  virtual Status append(const SharedEnd& after, ByteView batch) = 0;
};

}  // namespace wrackline
