// A change, read from and written as the bytes of proto/change.proto.
//
// The bytes are the truth: they are hashed and sealed as their author wrote them. Reading one never alters
// it, and fields of a newer release are simply not looked at.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/sha256.h"
#include "log/hybrid_clock.h"

namespace wrackline {

// The largest change an author may write and a replica will take.
inline constexpr std::size_t kChangeBytesMax = 256 * 1024;

// Assignments of one earlier change that this one replaces. `check` guards against forked logs: it is the first 4 bytes of
// the leaf of that change (log/leaf.h).
struct Replaced {
  ChangeId change;
  std::uint32_t check = 0;
  std::vector<std::uint32_t> fields;
};

struct Change {
  Stamp stamp;
  WallMs wall_behind_ms = 0;
  std::uint32_t kind = 0;  // Birth only.
  RecordId record;         // Edit only.
  // Edit only: the first 4 bytes of the leaf of the record's birth; absent where its author's release knew of none.
  std::optional<std::uint32_t> record_check;
  RecordId author;
  ByteView fields;  // Points into the bytes the change was read from (or that its writer holds).
  std::vector<std::uint32_t> clears;
  std::vector<Replaced> replaces;
  ByteView reason;

  bool is_birth() const { return !record; }
  // When it was entered, by the clock of its device.
  WallMs entered_ms() const { return stamp.ms() - wall_behind_ms; }
};

// Errors: kMalformed (broken wire format, here or one level down in `fields`; neither birth nor edit),
// kTooLarge.
Result<Change> read_change(ByteView bytes);
Bytes write_change(const Change& change);

}  // namespace wrackline
