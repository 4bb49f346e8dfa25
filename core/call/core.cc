#include "call/core.h"

#include "call/dispatch.h"

namespace wrackline {

Result<std::unique_ptr<Core>> Core::create(Replica::Options options, const Membership& membership) {
  WRACKLINE_TRY_VALUE(replica, Replica::create(std::move(options), membership));
  return std::unique_ptr<Core>(new Core(std::move(replica)));
}

Result<std::unique_ptr<Core>> Core::open(Replica::Options options) {
  WRACKLINE_TRY_VALUE(replica, Replica::open(std::move(options)));
  return std::unique_ptr<Core>(new Core(std::move(replica)));
}

Bytes Core::call(ByteView call) noexcept { return dispatch(*replica_, call); }

}  // namespace wrackline
