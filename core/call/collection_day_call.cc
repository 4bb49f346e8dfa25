#include "call/gather.h"

namespace wrackline {

Status handle_collection_day(Replica&, const proto::CollectionDayCall&, proto::CollectionDayReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: collection_day is not built yet");
}

}  // namespace wrackline
