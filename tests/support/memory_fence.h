// A fence in memory, as a platform keeps it outside of its backups.
#pragma once

#include <optional>

#include "replica/fence.h"

namespace wrackline {

class MemoryFence : public Fence {
 public:
  std::optional<FencePoint> read() override { return point; }
  bool write(const FencePoint& to) override {
    point = to;
    return true;
  }
  std::optional<FencePoint> point;
};

}  // namespace wrackline
