#include "call/gather.h"

namespace wrackline {

Status handle_substitute(Replica&, const proto::SubstituteCall&, proto::SubstituteReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: substitute is not built yet");
}

}  // namespace wrackline
