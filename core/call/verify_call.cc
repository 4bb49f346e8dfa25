// Proof that nothing was altered: chains, seals and receipts checked anew, and the first bad change named.
#include <algorithm>
#include <optional>

#include "call/handlers.h"
#include "call/hub_word.h"
#include "call/roster.h"
#include "crypto/texts.h"
#include "log/chain.h"
#include "log/marks.h"
#include "replica/author.h"

namespace wrackline {
namespace {

// Changes checked in one call, about; a caller shows progress between calls and may stop there.
constexpr std::uint32_t kVerifyChanges = 20000;

std::string span_text(Seq first, Seq last) {
  return first == last ? "change " + std::to_string(first)
                       : "changes " + std::to_string(first) + " to " + std::to_string(last);
}

// One log, run by run.
class LogCheck {
 public:
  LogCheck(Replica& replica, const LogEntry& log, proto::VerifyReply& out) : replica_(replica), log_(log), out_(out) {}

  // From `after`, an end of a run, on. Returns how far it came: to the end, or an end of a run whose stored hash holds.
  Result<Seq> walk(Seq after);

 private:
  void check_run(const LogTable::StoredRun& run);
  void name_altered(const LogTable::StoredRun& run, const MarkedChain& computed);
  // What stands beside a run that holds.
  void check_beside(const LogTable::StoredRun& run, const MarkedChain& computed);
  void check_receipt(const Receipt& receipt, const Hash& chain);
  proto::FaultPlace& put(proto::Fault fault, Seq first, Seq last, const std::string& what);
  void describe(ByteView stored, proto::FaultPlace& out);

  Replica& replica_;
  const LogEntry& log_;
  proto::VerifyReply& out_;
  Hash chain_{};  // Up to where it has come.
  std::vector<Receipt> receipts_;
  std::size_t next_receipt_ = 0;
};

Result<Seq> LogCheck::walk(Seq after) {
  LogTable& logs = replica_.store().logs();
  WRACKLINE_TRY_VALUE(chain, logs.chain_at(log_, after));
  chain_ = chain;
  WRACKLINE_TRY_VALUE(receipts, replica_.store().receipts().after(log_, after));
  receipts_ = std::move(receipts);
  bool can_stop = true;
  while (after < log_.head.seq && (out_.changes() < kVerifyChanges || !can_stop)) {
    const auto run = logs.run_behind(log_, after);
    if (!run || !*run || (*run)->first != after + 1) {
      put(proto::FAULT_UNREADABLE, after + 1, log_.head.seq, "not here as they were stored: altered or damaged");
      return log_.head.seq;
    }
    check_run(**run);
    after = (*run)->last();
    // The next call goes on from the stored hash.
    can_stop = chain_ == (*run)->chain;
  }
  // The hub gave its word for what it held; less than that means that an end was cut off.
  if (after >= log_.head.seq && log_.receipted > log_.head.seq) {
    put(proto::FAULT_MISSING, log_.head.seq + 1, log_.receipted, "missing, though the hub has given receipts for them");
  }
  return after;
}

void LogCheck::check_run(const LogTable::StoredRun& run) {
  out_.set_changes(out_.changes() + run.count);
  if (!run.changes) {
    put(proto::FAULT_UNREADABLE, run.first, run.last(), "cannot be read: altered or damaged");
    chain_ = run.chain;
    return;
  }
  MarkedChain computed{chain_, {}};
  std::vector<std::pair<const Receipt*, Hash>> receipts;
  for (std::size_t i = 0; i < run.changes->size(); ++i) {
    computed.step((*run.changes)[i]);
    const Seq seq = run.first + static_cast<Seq>(i);
    while (next_receipt_ < receipts_.size() && receipts_[next_receipt_].seq <= seq) {
      if (receipts_[next_receipt_].seq == seq) receipts.emplace_back(&receipts_[next_receipt_], computed.chain);
      ++next_receipt_;
    }
  }
  const bool is_as_stored = computed.chain == run.chain;
  bool holds = false;
  if (run.is_sealed) {
    const Bytes text = seal_text(replica_.store().facility(), {log_.sealed_as(), run.last()}, computed.chain);
    holds = verify_signature(*log_.device, text, run.seal);
    out_.set_seals(out_.seals() + (holds ? 1 : 0));
    if (!holds) name_altered(run, computed);
  } else {
    holds = is_as_stored && log_.device == replica_.author().key();
    out_.set_unsealed(out_.unsealed() + run.count);
    if (!holds) put(proto::FAULT_RUN, run.first, run.last(), "not what this device wrote: altered before sealing");
  }
  chain_ = holds ? computed.chain : run.chain;
  // A receipt speaks of what was sealed; of what was altered since, the seal has spoken already.
  if (!holds) return;
  check_beside(run, computed);
  for (const auto& [receipt, chain] : receipts) check_receipt(*receipt, chain);
}

void LogCheck::name_altered(const LogTable::StoredRun& run, const MarkedChain& computed) {
  const auto parted = first_parted(computed.marks, run.marks);
  if (parted) {
    const Seq seq = run.first + static_cast<Seq>(*parted);
    describe((*run.changes)[*parted], put(proto::FAULT_CHANGE, seq, seq, "altered after sealing"));
    return;
  }
  const bool all_agrees = !run.marks.empty() && computed.chain == run.chain;
  put(proto::FAULT_RUN, run.first, run.last(),
      all_agrees ? "not what their device sealed: the seal itself was altered, or all of it together"
                 : "not what their device sealed: altered after sealing; which of them cannot be told");
}

void LogCheck::check_beside(const LogTable::StoredRun& run, const MarkedChain& computed) {
  if (computed.chain != run.chain) {
    put(proto::FAULT_CHAIN_HASH, run.first, run.last(), "hold under their seal; the hash kept beside them is damaged");
  }
  if (run.marks.empty() || run.marks == computed.marks) return;
  const auto parted = first_parted(computed.marks, run.marks);
  const Seq first = run.first + static_cast<Seq>(parted.value_or(0));
  put(proto::FAULT_MARK, first, parted ? first : run.last(), "as sealed; only the mark kept beside it is damaged");
}

void LogCheck::check_receipt(const Receipt& receipt, const Hash& chain) {
  const Bytes text = receipt_text(replica_.store().facility(), {log_.id, receipt.seq}, receipt.head, receipt.held_ms);
  if (!is_signed_by_hub(replica_, text, receipt.signature)) {
    put(proto::FAULT_RECEIPT, receipt.seq, receipt.seq,
        "as sealed; the receipt for it is not the hub's: altered or damaged");
  } else if (receipt.head != first8(chain)) {
    put(proto::FAULT_RECEIPT, receipt.seq, receipt.seq, "the hub's receipt speaks of other changes than those here");
  } else {
    out_.set_receipts(out_.receipts() + 1);
  }
}

proto::FaultPlace& LogCheck::put(proto::Fault fault, Seq first, Seq last, const std::string& what) {
  proto::Refusal& problem = *out_.add_problems();
  problem.set_log(log_.id.value);
  problem.set_seq(first);
  problem.set_code(static_cast<std::uint32_t>(ErrorCode::kBadSeal));
  problem.set_message("log " + to_text(log_.id) + ", " + span_text(first, last) + ": " + what);
  proto::FaultPlace& place = *out_.add_places();
  place.set_fault(fault);
  put_id({log_.id, first}, *place.mutable_first());
  place.set_last_seq(last);
  if (const auto device = replica_.devices().find(*log_.device)) place.set_device_name(device->name);
  return place;
}

// Whose it is, as it stands here now: altered, so every part of it may be wrong, and none need be readable.
void LogCheck::describe(ByteView stored, proto::FaultPlace& out) {
  LogTable& logs = replica_.store().logs();
  Bytes content(stored);
  logs.bytes_to_content(log_, content);
  const auto change = read_change(content);
  if (!change) return;
  out.set_readable(true);
  out.set_birth(change->is_birth());
  put_id(change->is_birth() ? id_of(out.first()) : change->record, *out.mutable_record());
  out.set_kind(change->kind);
  out.set_entered_ms(change->entered_ms());
  out.set_fields(Bytes(change->fields));
  if (!change->is_birth()) {
    const auto birth_bytes = logs.content_of(logs.find_place(change->record));
    const auto birth = birth_bytes ? read_change(*birth_bytes) : Result<Change>(fail(birth_bytes.error()));
    if (birth) out.set_kind(birth->kind);
  }
  if (!change->author) return;
  put_id(change->author, *out.mutable_author());
  Roster roster(replica_);
  if (const auto name = roster.name_of(change->author)) out.set_author_name(*name);
}

}  // namespace

Status handle_verify(Replica& replica, const proto::VerifyCall& call, proto::VerifyReply& out) {
  const LogId from{call.after().log()};
  for (const auto& [id, log] : replica.store().logs().all()) {
    if (!log.device || id < from) continue;
    LogCheck check(replica, log, out);
    WRACKLINE_TRY_VALUE(reached, check.walk(std::max(id == from ? call.after().seq() : 0, log.base())));
    if (reached < log.head.seq) {
      put_id({id, reached}, *out.mutable_next());
      return {};
    }
  }
  return {};
}

}  // namespace wrackline
