#include "call/gather.h"

namespace wrackline {

Status handle_stock(Replica&, const proto::StockCall&, proto::StockReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: stock is not built yet");
}

}  // namespace wrackline
