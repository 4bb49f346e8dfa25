// The vectors that a hub has told lately, so that neither side sends one whole again: a device names the one it heard last by its
// mark, and both send only the entries in which theirs differ from it (proto/exchange.proto, Vector).
//
// Nothing depends on what is remembered here: a mark that is not known costs one more round with whole vectors.
//
// Threads: one at a time.
#pragma once

#include <cstddef>
#include <deque>

#include "base/bytes.h"
#include "log/version_vector.h"

namespace wrackline {

// 16 bytes over all entries: two vectors with one mark are the same.
Bytes mark_of(const VersionVector& vector);

// The entries in which `vector` is not `base`; with seq 0 what it holds nothing of.
VersionVector difference(const VersionVector& vector, const VersionVector& base);
// The other way round.
VersionVector sum(const VersionVector& base, const VersionVector& difference);

class ToldVectors {
 public:
  // Remembers it under its mark, and forgets the oldest where they would take more than `kBytesMax`.
  void remember(const VersionVector& vector);
  // Null when it was never told, or is forgotten. Valid until the next remember().
  const VersionVector* find(ByteView mark) const;

  static constexpr std::size_t kBytesMax = 4 << 20;

 private:
  struct Told {
    Bytes mark;
    VersionVector vector;
  };
  std::deque<Told> told_;  // The newest last.
  std::size_t bytes_ = 0;
};

}  // namespace wrackline
