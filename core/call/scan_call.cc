#include "call/gather.h"

namespace wrackline {

Status handle_scan(Replica&, const proto::ScanCall&, proto::ScanReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: scan is not built yet");
}

}  // namespace wrackline
