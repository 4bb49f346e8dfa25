// Marks: the first 4 bytes of each leaf, kept beside a run.
//
// They prove nothing and decide nothing: the seal says whether a log is what its device sealed. When it is not, the
// marks point at the place where what stands here parts from what was sealed, so that one change is named and not four
// thousand.
#pragma once

#include <cstddef>
#include <optional>

#include "base/bytes.h"
#include "crypto/sha256.h"

namespace wrackline {

inline constexpr std::size_t kMarkBytes = 4;

inline ByteView mark_of(const Hash& leaf) { return view(leaf).substr(0, kMarkBytes); }

// Index of the first change whose mark differs; none when all agree, or when `marks` are not of that many changes.
inline std::optional<std::size_t> first_parted(ByteView computed, ByteView marks) {
  if (computed.size() != marks.size()) return std::nullopt;
  for (std::size_t at = 0; at + kMarkBytes <= marks.size(); at += kMarkBytes) {
    if (computed.substr(at, kMarkBytes) != marks.substr(at, kMarkBytes)) return at / kMarkBytes;
  }
  return std::nullopt;
}

}  // namespace wrackline
