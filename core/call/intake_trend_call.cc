#include "call/gather.h"

namespace wrackline {

Status handle_intake_trend(Replica&, const proto::IntakeTrendCall&, proto::IntakeTrendReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: intake_trend is not built yet");
}

}  // namespace wrackline
