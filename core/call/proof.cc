// Proof that nothing was changed: chains and seals checked anew, projections made anew, states compared.
#include <algorithm>

#include "call/handlers.h"
#include "crypto/texts.h"
#include "log/chain.h"
#include "replica/author.h"

namespace wrackline {
namespace {

// Changes checked in one call, about; a caller shows progress between calls and may stop there.
constexpr std::uint32_t kVerifyChanges = 20000;

void put_problem(LogId log, Seq seq, const std::string& message, proto::VerifyReply& out) {
  proto::Refusal& problem = *out.add_problems();
  problem.set_log(log.value);
  problem.set_seq(seq);
  problem.set_code(static_cast<std::uint32_t>(ErrorCode::kBadSeal));
  problem.set_message(message);
}

// Walks one log from `after` (an end of a run). Returns how far it came; the log's head when it is done or a
// problem makes the rest meaningless.
Result<Seq> verify_log(Replica& replica, const LogEntry& log, Seq after, proto::VerifyReply& out) {
  LogTable& logs = replica.store().logs();
  while (after < log.head.seq && out.changes() < kVerifyChanges) {
    // At the end of a run the stored hash was compared with the computed one in the step before.
    WRACKLINE_TRY_VALUE(chain, logs.chain_at(log, after));
    auto run = logs.run_behind(log, after);
    if (!run || !*run || (*run)->first != after + 1) {
      put_problem(log.id, after + 1, "log " + to_text(log.id) + ": its changes from " + std::to_string(after + 1) +
                                         " on cannot be read: altered or damaged", out);
      return log.head.seq;
    }
    const LogTable::StoredRun& stored = **run;
    Hash computed = chain;
    for (std::size_t i = 0; i < stored.changes.size(); ++i) computed = chain_next(computed, stored.changes[i]);
    const Seq last = after + static_cast<Seq>(stored.changes.size());
    const bool is_sealed = stored.seal.has_value();
    const bool chain_holds = computed == stored.chain;
    const bool seal_holds =
        !is_sealed || verify_signature(*log.device, seal_text(replica.store().facility(), {log.sealed_as(), last}, computed), *stored.seal);
    if (!chain_holds || !seal_holds || (!is_sealed && log.device != replica.author().key())) {
      put_problem(log.id, after + 1, "log " + to_text(log.id) + ": changes " + std::to_string(after + 1) + " to " +
                                         std::to_string(last) + " are not what their device sealed: altered after sealing", out);
    }
    out.set_changes(out.changes() + static_cast<std::uint32_t>(stored.changes.size()));
    if (is_sealed) out.set_seals(out.seals() + 1);
    if (!is_sealed) out.set_unsealed(out.unsealed() + static_cast<std::uint32_t>(stored.changes.size()));
    after = last;
  }
  return after;
}

}  // namespace

Status handle_verify(Replica& replica, const proto::VerifyCall& call, proto::VerifyReply& out) {
  const LogId from{call.after().log()};
  for (const auto& [id, log] : replica.store().logs().all()) {
    if (!log.device || id < from) continue;
    WRACKLINE_TRY_VALUE(reached, verify_log(replica, log, std::max(id == from ? call.after().seq() : 0, log.base()), out));
    if (reached < log.head.seq) {
      put_id({id, reached}, *out.mutable_next());
      return {};
    }
  }
  return {};
}

Status handle_rebuild(Replica& replica, proto::RebuildReply& out) {
  Store& store = replica.store();
  WRACKLINE_TRY_VALUE(write, store.begin_write());
  WRACKLINE_TRY_VALUE(before, store.records().table_digest());
  WRACKLINE_TRY_VALUE(changes, store.records().rebuild());
  WRACKLINE_TRY_VALUE(after, store.records().table_digest());
  WRACKLINE_TRY(write.commit());
  out.set_changes(changes);
  out.set_same(before == after);
  return {};
}

Status handle_digest(Replica& replica, proto::DigestReply& out) {
  WRACKLINE_TRY_VALUE(digest, replica.store().records().state_digest());
  out.set_sha256(Bytes(view(digest.sha256)));
  out.set_records(digest.records);
  for (const auto& [id, log] : replica.store().logs().all()) out.set_changes(out.changes() + log.head.seq);
  return {};
}

}  // namespace wrackline
