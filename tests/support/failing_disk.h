// A disk that fails when a test says so: an SQLite VFS over the real one. Databases opened while an instance lives go
// through it; only files whose path begins with what watch() was told are counted and made to fail.
//
// These faults are modelled. Each call on a file, counted by kind, can fail: with an I/O error, a full disk, half a write
// and then a full disk; once, or from then on. A sync can say OK and sync nothing. The power can go: from a chosen call on
// nothing reaches the files any more, and cut_power() then makes them what a disk may hold after that, since it has kept
// their images as of their last real sync and every write behind it: all of those lost, any part of them, in pieces of a
// sector, or all of them there. A file whose deletion was not synced may be there again.
//
// These faults are not modelled: a disk that alters bytes at rest (the verify tests do that), reads that give other bytes
// than were written, a new file whose name is lost with the power, and memory that processes share (the -shm file, which
// SQLite makes anew after a crash).
//
// Threads: one at a time. One instance at a time.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>

namespace wrackline {

class FailingDisk {
 public:
  enum class Call { kWrite, kSync, kTruncate, kOpen, kDelete, kRead, kFileSize };
  static constexpr std::size_t kCalls = 7;
  enum class Fault { kIoError, kFull, kShortWrite, kLostSync, kPowerCut };
  enum class Lasting { kOnce, kFromThenOn };
  using Counts = std::array<int, kCalls>;

  FailingDisk();
  FailingDisk(const FailingDisk&) = delete;
  FailingDisk& operator=(const FailingDisk&) = delete;
  ~FailingDisk();

  // Lets `writes` more writes pass, then refuses all as if the disk were full until heal(). May be called by a signal.
  void fill_after(int writes);
  void heal();
  // Writes that were refused since the last fill_after().
  int refused() const;

  // From here on only these files are looked at, and what they hold is kept for cut_power(). No database of them is open.
  void watch(const std::string& path_prefix);
  // The `nth` call of a kind from now on, from 0, fails so. Counts begin anew.
  void fail_at(Call call, int nth, Fault fault, Lasting lasting);
  void count_anew();
  const Counts& counts() const;
  // The call that was to fail has come.
  bool has_struck() const;

  // Nothing reaches the watched files from here on.
  void stop();
  // After stop() or a power cut, when all databases are closed: makes the watched files what the disk is left with, and works
  // again. `seed` chooses the part.
  enum class Unsynced { kLost, kPart, kKept };
  void cut_power(Unsynced unsynced, std::uint64_t seed);
};

}  // namespace wrackline
