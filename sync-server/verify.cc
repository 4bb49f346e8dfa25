#include "verify.h"

#include <call.pb.h>

#include "call/dispatch.h"
#include "hosts/system_clock.h"
#include "no_key.h"
#include "replica/replica.h"
#include "scaffold.h"
#include "store/backup.h"
#include "store/store.h"

namespace wrackline {
namespace {


Result<proto::Reply> ask(Replica& replica, const proto::Call& call) {
  proto::Reply reply;
  if (!reply.ParseFromString(dispatch(replica, call.SerializeAsString())))
    return fail(ErrorCode::kInternal, "verifying: the core's answer cannot be read");
  if (reply.has_failure())
    return fail(static_cast<ErrorCode>(reply.failure().code()), reply.failure().message());
  return reply;
}

Status verify_logs(Replica& replica, const Progress& progress, Verdict& verdict) {
  std::uint64_t all = 0;
  for (const auto& [id, log] : replica.store().logs().all()) {
    if (!log.opening) continue;
    ++verdict.logs;
    all += log.head.seq;
  }
  proto::Call call;
  call.mutable_verify();
  for (;;) {
    WRACKLINE_TRY_VALUE(reply, ask(replica, call));
    const proto::VerifyReply& part = reply.verify();
    verdict.changes += part.changes();
    verdict.seals += part.seals();
    verdict.arrivals += part.arrivals();
    verdict.unsealed += part.unsealed();
    for (const proto::Refusal& problem : part.problems()) verdict.problems.push_back(problem.message());
    if (progress) progress("verifying", verdict.changes, all);
    if (!part.has_next()) return {};
    *call.mutable_verify()->mutable_after() = part.next();
  }
}

Status verify_projections(Replica& replica, const Progress& progress, Verdict& verdict) {
  if (progress) progress("making the projections anew", 0, 0);
  proto::Call call;
  call.mutable_rebuild();
  WRACKLINE_TRY_VALUE(rebuilt, ask(replica, call));
  if (!rebuilt.rebuild().same())
    verdict.problems.push_back(
        "the projections do not follow from the changes, which are whole: mend them with a rebuild");
  call.mutable_digest();
  WRACKLINE_TRY_VALUE(digest, ask(replica, call));
  verdict.digest = to_hex(digest.digest().sha256());
  verdict.records = digest.digest().records();
  return {};
}

}  // namespace

Result<Verdict> verify_private(const std::string& records, const std::optional<PublicKey>& hub_key, const Progress& progress) {
  Verdict verdict;
  if (progress) progress("looking through the file", 0, 0);
  if (const Status whole = check_file(records); !whole) {
    if (whole.error().code == ErrorCode::kNotFound) return fail(whole.error());
    verdict.problems.push_back(whole.error().message);
    return verdict;
  }
  WRACKLINE_TRY_VALUE(owner, Replica::key_of(records));
  NoKey key(owner);
  // A store that cannot be opened or read any more was damaged, and verification is there to tell so.
  const auto found = [&verdict](const Status& looked) {
    if (!looked) verdict.problems.push_back(looked.error().message);
    return verdict.problems.empty();
  };
  auto replica = Replica::open({records, &key, wall_clock_ms});
  if (!replica) {
    found(fail(replica.error()));
    return verdict;
  }
  if (hub_key) {
    verdict.is_vouched = true;
    if (!found((*replica)->store().records().pin_hub_key(*hub_key))) return verdict;
    if (!(*replica)->is_hub()) {
      verdict.problems.push_back("these are not the records of the hub whose key is " + to_hex(view(*hub_key)));
      return verdict;
    }
  }
  verdict.hub_key = (*replica)->devices().hub().keys().empty() ? owner : (*replica)->devices().hub().keys().front();
  // A rebuild of changes that are not whole would only bury the fault.
  if (found(verify_logs(**replica, progress, verdict)))
    found(verify_projections(**replica, progress, verdict));
  return verdict;
}

Result<Verdict> verify(const std::string& records, const std::string& work, const std::optional<PublicKey>& hub_key,
                       const Progress& progress) {
  WRACKLINE_TRY_VALUE(scaffold, Scaffold::make(work.empty() ? records : without_slash(work) + "/verify"));
  const std::string copy = scaffold.path() + "/records.db";
  WRACKLINE_TRY(copy_records(records, copy, [&](std::int64_t done, std::int64_t all) {
    if (progress) progress("copying", static_cast<std::uint64_t>(done), static_cast<std::uint64_t>(all));
  }));
  return verify_private(copy, hub_key, progress);
}

}  // namespace wrackline
