#include "support/sound.h"

#include <call.pb.h>

#include "call/dispatch.h"

namespace wrackline {

std::string find_unsound(Replica& replica, const std::set<int>& excused) {
  proto::Call verify;
  verify.mutable_verify();
  proto::Reply reply;
  for (;;) {  // It answers in pages.
    if (!reply.ParseFromString(dispatch(replica, verify.SerializeAsString()))) return "the reply to verify cannot be read";
    if (reply.has_failure()) return "it cannot be verified: " + reply.failure().message();
    for (int i = 0; i < reply.verify().problems_size(); ++i) {
      if (excused.count(reply.verify().places(i).fault()) != 0) continue;
      return "verify found a problem: " + reply.verify().problems(i).message();
    }
    if (!reply.verify().has_next()) break;
    *verify.mutable_verify()->mutable_after() = reply.verify().next();
  }
  proto::Call rebuild;
  rebuild.mutable_rebuild();
  if (!reply.ParseFromString(dispatch(replica, rebuild.SerializeAsString()))) return "the reply to rebuild cannot be read";
  if (reply.has_failure()) return "it cannot be rebuilt: " + reply.failure().message();
  if (!reply.rebuild().same()) return "its projections are not those a rebuild gives";
  return {};
}

}  // namespace wrackline
