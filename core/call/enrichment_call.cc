#include "call/gather.h"

namespace wrackline {

Status handle_enrichment(Replica&, const proto::EnrichmentCall&, proto::EnrichmentReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: enrichment is not built yet");
}

}  // namespace wrackline
