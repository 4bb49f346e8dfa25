#include "call/gather.h"

namespace wrackline {

Status handle_prep(Replica&, const proto::PrepCall&, proto::PrepReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: prep is not built yet");
}

}  // namespace wrackline
