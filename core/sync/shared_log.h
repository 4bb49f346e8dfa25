// This file says what several hub processes of one facility share: a sequence of batches that only grows. It is the truth for them; the
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
#include "crypto/sha256.h"

namespace wrackline {

// A place between two batches: how many came before it, and a chain of hashes over them (SHA-256 of the hash before and the
// batch, from zeros on), so that a sequence that went back and on differently is told from one that only grew.
struct SharedEnd {
  std::uint64_t batches = 0;
  Hash chain{};
};
inline bool operator==(const SharedEnd& a, const SharedEnd& b) { return a.batches == b.batches && a.chain == b.chain; }
inline bool operator!=(const SharedEnd& a, const SharedEnd& b) { return !(a == b); }
inline SharedEnd behind(const SharedEnd& end, ByteView batch) { return {end.batches + 1, sha256(view(end.chain), batch)}; }

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

  // From here on the others' appends wait, until end_turn() or an append of this hub's, so that one who was overtaken again
  // and again goes first. A courtesy: only fairness rests on it, and a log may do nothing. A failure to get the turn shows in
  // what it does next.
  virtual void take_turn() {}
  virtual void end_turn() {}
};

}  // namespace wrackline
