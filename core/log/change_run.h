// A contiguous run of changes of one log, and how it is packed for the wire and the disk.
//
// Packed by columns (codec 1): the changes of a run differ little in shape, so each is split into its shape
// (which tags stand where) and its values; values at the same place of the same shape go into one column, and
// the whole is compressed by zstd. Unpacking gives back the exact bytes, which is what was hashed. A run that
// does not split cleanly is packed as it is (codec 0). The layout is described in core/README.md.
#pragma once

#include <cstdint>
#include <vector>

#include "base/bytes.h"
#include "base/result.h"
#include "log/unpack_work.h"

namespace wrackline {

// Limits of one run: what a reader will unpack, whatever a packed body claims.
inline constexpr std::size_t kRunChangesMax = 4096;
inline constexpr std::size_t kRunBytesMax = 1 << 20;
// This release puts so many changes into a run: reading any change unpacks all of its run. A quarter of the limit costs 0.1
// bytes a change.
inline constexpr std::size_t kRunChangesWanted = 1024;

// Steps of work (log/unpack_work.h) that a run of any kind may be: bytes of columns, changes, values and marks, bytes written.
inline constexpr std::size_t kRunWorkMax = 2 * kRunBytesMax + kRunChangesMax + 2 * kRunBytesMax;
// A run from outside may be so large for its packed size, beyond what its reader grants for once. Two years of a
// centre's records take 13 steps a byte at most; a run that is more regular than this is padded when it is packed.
inline constexpr std::size_t kRunWorkFree = 4096;
inline constexpr std::size_t kRunWorkPerByte = 64;
constexpr std::size_t run_work_allowed(std::size_t packed_bytes) { return kRunWorkFree + kRunWorkPerByte * packed_bytes; }

class ChangeRun {
 public:
  std::size_t size() const { return ends_.size(); }
  std::size_t bytes() const { return flat_.size(); }
  bool empty() const { return ends_.empty(); }
  // The bytes of the i-th change; valid until the run is changed or destroyed.
  ByteView operator[](std::size_t i) const {
    const std::size_t begin = i == 0 ? 0 : ends_[i - 1];
    return ByteView(flat_).substr(begin, ends_[i] - begin);
  }
  void append(ByteView change) {
    flat_ += change;
    ends_.push_back(static_cast<std::uint32_t>(flat_.size()));
  }
  // Room for one more change of this size within the limits of a run.
  bool has_room_for(std::size_t change_bytes) const {
    return ends_.empty() || (ends_.size() < kRunChangesWanted && flat_.size() + change_bytes <= kRunBytesMax);
  }

  // For unpackers, which write a change piece by piece.
  Bytes& open_bytes() { return flat_; }
  void close_change() { ends_.push_back(static_cast<std::uint32_t>(flat_.size())); }

 private:
  Bytes flat_;
  std::vector<std::uint32_t> ends_;
};

struct PackedRun {
  std::uint32_t codec = 0;
  Bytes body;
};

// The smaller of both packings, so that unpacking it is within run_work_allowed() of its size.
PackedRun pack_run(const ChangeRun& run);
// Each change with its length before it; the cheapest to write, for runs that will be packed again.
PackedRun pack_run_plain(const ChangeRun& run);

// Errors: kMalformed, kTooLarge (over the limits of a run, or more work than is allowed; found before it is done),
// kUnsupported (a codec of a newer release).
Result<ChangeRun> unpack_run(std::uint32_t codec, ByteView body, std::size_t count, UnpackWork& work);
// The same of what is held here, and was looked at when it came: up to kRunWorkMax.
Result<ChangeRun> unpack_run(std::uint32_t codec, ByteView body, std::size_t count);

}  // namespace wrackline
