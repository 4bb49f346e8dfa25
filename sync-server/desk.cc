#include "desk.h"

namespace wrackline {

Desk::Desk() : open_(io_.get_executor()), thread_([this] { io_.run(); }) {}

Desk::~Desk() { stop(); }

std::chrono::milliseconds Desk::busy_for() const {
  const Clock::rep begun = begun_;
  if (begun == 0) return {};
  return std::chrono::duration_cast<std::chrono::milliseconds>(Clock::now() - Clock::time_point(Clock::duration(begun)));
}

void Desk::stop() {
  io_.stop();
  if (thread_.joinable()) thread_.join();
}

}  // namespace wrackline
