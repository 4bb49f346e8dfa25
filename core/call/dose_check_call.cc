#include "call/gather.h"

namespace wrackline {

Status handle_dose_check(Replica&, const proto::DoseCheckCall&, proto::DoseCheckReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: dose_check is not built yet");
}

}  // namespace wrackline
