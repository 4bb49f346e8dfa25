#include "target.h"

#include <google/protobuf/stubs/logging.h>

namespace wrackline::fuzz {

const std::vector<Target>& all_targets() {
  static const std::vector<Target> targets = {kChangeTarget,       kSegmentTarget, kBundleTarget, kExchangeRequestTarget,
                                              kExchangeReplyTarget, kCallTarget,    kHttpTarget,   kCsvTarget};
  return targets;
}

void silence_messages() { google::protobuf::SetLogHandler(nullptr); }

}  // namespace wrackline::fuzz
