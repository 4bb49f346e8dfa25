#include "call/gather.h"

namespace wrackline {

Status handle_round(Replica&, const proto::RoundCall&, proto::RoundReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: round is not built yet");
}

}  // namespace wrackline
