// How much work unpacking may be. A packed run can claim thousands of times its size, and is unpacked before its seal can be
// looked at: so the work is counted, and what would be more than was allowed is refused before it is done.
//
// One step is one byte of columns read, one change claimed, one value or mark of a shape read, or one byte of a change
// written. A step takes at most some 100 bytes of memory for a time, and some tens of nanoseconds.
#pragma once

#include <cstddef>

namespace wrackline {

class UnpackWork {
 public:
  explicit UnpackWork(std::size_t allowed) : allowed_(allowed) {}

  // Asks before doing that many steps. False when they are not to be done.
  bool take(std::size_t steps) {
    is_refused_ = is_refused_ || steps > left();
    if (!is_refused_) done_ += steps;
    return !is_refused_;
  }
  std::size_t left() const { return allowed_ - done_; }
  std::size_t done() const { return done_; }
  // Whether more was asked for than was allowed.
  bool is_refused() const { return is_refused_; }

 private:
  std::size_t allowed_;
  std::size_t done_ = 0;
  bool is_refused_ = false;
};

}  // namespace wrackline
