// Marks: the first 4 bytes of the chain hash at each change, kept beside a sealed run.
//
// They prove nothing and decide nothing: the seal says whether a run is what its device sealed. When it is not, the
// marks point at the place where what stands here parts from what was sealed, so that one change is named and not four
// thousand.
#pragma once

#include <cstddef>
#include <optional>

#include "base/bytes.h"
#include "log/chain.h"
#include "log/change_run.h"

namespace wrackline {

inline constexpr std::size_t kMarkBytes = 4;

inline ByteView mark_of(const Hash& chain) { return view(chain).substr(0, kMarkBytes); }

// A chain on its way over the changes of a run, with the marks it leaves.
struct MarkedChain {
  Hash chain{};
  Bytes marks;
  void step(ByteView change) {
    chain = chain_next(chain, change);
    marks += mark_of(chain);
  }
};

// Index of the first change whose mark differs; none when all agree, or when `marks` are not of that many changes.
inline std::optional<std::size_t> first_parted(ByteView computed, ByteView marks) {
  if (computed.size() != marks.size()) return std::nullopt;
  for (std::size_t at = 0; at + kMarkBytes <= marks.size(); at += kMarkBytes) {
    if (computed.substr(at, kMarkBytes) != marks.substr(at, kMarkBytes)) return at / kMarkBytes;
  }
  return std::nullopt;
}

}  // namespace wrackline
