#include "call/gather.h"

namespace wrackline {

Status handle_training(Replica&, const proto::TrainingCall&, proto::TrainingReply&) {
  return fail(ErrorCode::kUnsupported, "calling the core: training is not built yet");
}

}  // namespace wrackline
