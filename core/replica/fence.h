// How far the log that this device or hub wrote last has gone, kept outside of what a backup of the database restores.
//
// A database put back from a backup, or copied to another device, would go on writing a log that others know
// further, and the log would have two branches. The fence tells: a database that lies behind it, or whose log it does
// not know, leaves that log as it is and opens another. It is written after each commit, before the answer, and need
// not be durable: a fence that lies behind the database says nothing.
//
// Implemented by each platform: a file (platform-shims/hosts), a device's outside the folder of its records, a hub's beside its
// database; callbacks of an app (platform-shims/bindings/c). The tablet has none yet; there the hub finds the second branch. Threads: one at a time; outlives the replica.
#pragma once

#include <cstdint>
#include <optional>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

struct FencePoint {
  LogId log;
  Seq seq = 0;
  std::uint64_t root = 0;  // First 8 bytes of the root of its tree there.
};

class Fence {
 public:
  virtual ~Fence() = default;
  // None when nothing was ever written here.
  virtual std::optional<FencePoint> read() = 0;
  // False when it could not be written; writing goes on without a fence then.
  virtual bool write(const FencePoint& point) = 0;
};

}  // namespace wrackline
