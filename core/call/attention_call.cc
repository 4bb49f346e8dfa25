#include "call/gather.h"

namespace wrackline {

Status handle_attention(Replica&, const proto::AttentionCall&, proto::AttentionReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: attention is not built yet");
}

}  // namespace wrackline
