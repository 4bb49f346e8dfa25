#include "log/branch.h"

#include "base/wire.h"

namespace wrackline {

LogId branch_id(LogId root, Seq after, const Hash& first_leaf) {
  Bytes text = "wrackline/branch/2";
  append_le(text, root.value, 8);
  append_le(text, after, 8);
  text += view(first_leaf);
  return LogId{first8(sha256(text))};
}

void rebind(Bytes& change, LogId root, const Ancestry& ancestry) {
  // Field 1 (fixed64, the log), then field 2 (varint, the seq).
  Bytes pattern;
  append_fixed64_field(pattern, 1, root.value);
  pattern.push_back(0x10);
  for (std::size_t at = change.find(pattern); at != Bytes::npos; at = change.find(pattern, at + pattern.size())) {
    ByteView rest = ByteView(change).substr(at + pattern.size());
    std::uint64_t seq = 0;
    if (!take_varint(rest, seq)) continue;
    for (const auto& [after, log] : ancestry) {
      if (seq <= after) continue;
      Bytes id;
      append_le(id, log.value, 8);
      change.replace(at + 1, id.size(), id);
      break;
    }
  }
}

}  // namespace wrackline
