#include "call/gather.h"

namespace wrackline {

Status handle_body(Replica&, const proto::BodyCall&, proto::BodyReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: body is not built yet");
}

}  // namespace wrackline
