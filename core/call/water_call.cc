#include "call/gather.h"

namespace wrackline {

Status handle_water(Replica&, const proto::WaterCall&, proto::WaterReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: water is not built yet");
}

}  // namespace wrackline
