#include "hosts/system_clock.h"

#include <chrono>

namespace wrackline {

WallMs wall_clock_ms() {
  const auto since = std::chrono::system_clock::now().time_since_epoch();
  const auto ms = std::chrono::duration_cast<std::chrono::milliseconds>(since).count();
  return ms < 0 ? 0 : static_cast<WallMs>(ms);
}

}  // namespace wrackline
