// Proof that nothing was altered: trees, seals and the hub's word of arrivals checked anew, and the first bad change named.
#include <algorithm>
#include <optional>

#include "log/marks.h"
#include "provenance/provenance_calls.h"
#include "reading/record_view.h"
#include "reading/roster.h"
#include "replica/author.h"
#include "store/seal_check.h"

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

  // From `after`, an end of a run, on. Returns how far it came: to the end, or an end of a run whose stored tree holds.
  Result<Seq> walk(Seq after);

 private:
  Status check_owner();
  Status check_run(const LogTable::StoredRun& run);
  void compare(const LogTable::StoredRun& run, const TreeWalk& computed);
  void check_seal();
  Status check_seen();
  Status check_arrivals_end();
  Status check_arrival(const ArrivalRow& row, const Hash& root);
  proto::FaultPlace& put(proto::Fault fault, Seq first, Seq last, const std::string& what);
  void describe(ByteView stored, proto::FaultPlace& out);

  Replica& replica_;
  const LogEntry& log_;
  proto::VerifyReply& out_;
  Frontier tree_;         // Up to where it has come.
  Frontier sealed_tree_;  // At the end of what the seal covers.
  bool is_altered_ = false;  // Something was named already.
  std::vector<ArrivalRow> arrivals_;
  std::size_t next_arrival_ = 0;
};

Result<Seq> LogCheck::walk(Seq after) {
  LogTable& logs = replica_.store().logs();
  if (after == log_.base()) WRACKLINE_TRY(check_owner());
  WRACKLINE_TRY_VALUE(tree, logs.tree_at(log_, after));
  tree_ = sealed_tree_ = std::move(tree);
  WRACKLINE_TRY_VALUE(arrivals, replica_.store().records().arrivals().about(log_, after));
  arrivals_ = std::move(arrivals);
  bool can_stop = true;
  while (after < log_.head.seq && (out_.changes() < kVerifyChanges || !can_stop)) {
    const auto run = logs.run_behind(log_, after);
    if (!run || !*run || (*run)->first != after + 1) {
      put(proto::FAULT_UNREADABLE, after + 1, log_.head.seq, "not here as they were stored: altered or damaged");
      return log_.head.seq;
    }
    WRACKLINE_TRY(check_run(**run));
    after = (*run)->last();
    // The next call goes on from the stored tree.
    can_stop = (*run)->tree && tree_ == *(*run)->tree;
  }
  if (after < log_.head.seq) return after;
  check_seal();
  WRACKLINE_TRY(check_seen());
  WRACKLINE_TRY(check_arrivals_end());
  return after;
}

// The hub must have said whose log it is, in a log whose key is the hub's.
Status LogCheck::check_owner() {
  if (log_.head.seq == log_.base()) return {};  // Nothing stands in it.
  const PublicKey& key = log_.opening->device;
  if (!log_.branch && log_.opening->log_class != LogClass::kFormer && log_id(replica_.store().facility(), *log_.opening) != log_.id) {
    put(proto::FAULT_OWNER, log_.base() + 1, log_.head.seq, "not of the device they stand under: the log's id does not belong to that key");
  }
  const auto device = replica_.devices().find(key);
  if (!device && (device.error().code == ErrorCode::kMalformed || device.error().code == ErrorCode::kStorage)) {
    put(proto::FAULT_OWNER, log_.base() + 1, log_.head.seq, "whose it is cannot be told, since the record of a device cannot be read");
    return {};
  }
  WRACKLINE_TRY(device);
  // A device hears of its own key with the next exchange: after it was enrolled, and each time its key has changed.
  if (device->standing == DeviceStanding::kUnknown && key != replica_.author().key()) {
    put(proto::FAULT_OWNER, log_.base() + 1, log_.head.seq, "sealed with a key that the hub has never let in");
  }
  return {};
}

Status LogCheck::check_run(const LogTable::StoredRun& run) {
  out_.set_changes(out_.changes() + run.count);
  if (!run.changes) {
    put(proto::FAULT_UNREADABLE, run.first, run.last(), "cannot be read: altered or damaged");
    is_altered_ = true;
    if (run.tree) tree_ = *run.tree;
    if (run.last() <= log_.sealed) sealed_tree_ = tree_;
    return {};
  }
  TreeWalk computed(tree_);
  for (std::uint32_t block = block_of(run.first - 1); block <= block_of(run.last() - 1); ++block) {
    WRACKLINE_TRY_VALUE(seed, replica_.store().logs().seed_of(log_, block));
    computed.give_seed(block, seed ? *seed : BlockSeed{});
  }
  std::vector<std::pair<ArrivalRow, Hash>> arrived;
  for (std::size_t i = 0; i < run.changes->size(); ++i) {
    computed.step((*run.changes)[i]);
    const Seq seq = run.first + static_cast<Seq>(i);
    for (; next_arrival_ < arrivals_.size() && seq_of(arrivals_[next_arrival_].last) <= seq; ++next_arrival_) {
      if (seq_of(arrivals_[next_arrival_].last) == seq) arrived.emplace_back(arrivals_[next_arrival_], computed.tree().root());
    }
  }
  compare(run, computed);
  // The hub spoke of what was sealed; of what was altered since, the marks have spoken already.
  for (const auto& [row, root] : arrived) {
    if (!is_altered_) WRACKLINE_TRY(check_arrival(row, root));
  }
  if (run.last() <= log_.sealed) {
    sealed_tree_ = tree_;
  } else {
    out_.set_unsealed(out_.unsealed() + run.count);
  }
  return {};
}

// Compares the tree and marks that the changes of a run make with those kept when they were stored; moves the tree on.
void LogCheck::compare(const LogTable::StoredRun& run, const TreeWalk& computed) {
  const bool is_as_stored = run.tree && *run.tree == computed.tree();
  const auto parted = first_parted(computed.marks(), run.marks);
  if (!is_as_stored && parted) {
    const Seq seq = run.first + static_cast<Seq>(*parted);
    const bool is_sealed = run.last() <= log_.sealed;
    describe((*run.changes)[*parted],
             put(proto::FAULT_CHANGE, seq, seq, is_sealed ? "altered after sealing" : "not what this device wrote: altered before sealing"));
    is_altered_ = true;
    if (run.tree) tree_ = *run.tree;
    return;
  }
  if (!is_as_stored) put(proto::FAULT_TREE, run.first, run.last(), "hold by themselves; the tree kept beside them is damaged");
  if (is_as_stored && run.marks != computed.marks()) {
    const Seq first = run.first + static_cast<Seq>(parted.value_or(0));
    put(proto::FAULT_MARK, first, parted ? first : run.last(), "as stored; only the mark kept beside it is damaged");
  }
  tree_ = computed.tree();
}

void LogCheck::check_seal() {
  if (!log_.seal) {
    if (log_.head.seq > log_.base() && !log_.is_of(replica_.author().key())) {
      put(proto::FAULT_RUN, log_.base() + 1, log_.head.seq, "without their device's seal: it was taken away");
    }
    return;
  }
  if (log_.seal->size > log_.head.seq && log_.seal->steps.empty()) {
    put(proto::FAULT_MISSING, log_.head.seq + 1, static_cast<Seq>(log_.seal->size), "missing, though their device sealed them");
    return;
  }
  const bool holds = covers(*log_.seal, sealed_tree_) &&
                     is_signed(replica_.store().facility(), log_.sealed_as(), *log_.opening, *log_.seal, replica_.devices().hub());
  out_.set_seals(out_.seals() + (holds ? 1 : 0));
  if (holds) return;
  put(proto::FAULT_RUN, log_.base() + 1, log_.sealed,
      is_altered_ ? "not what their device sealed, with more altered than is named above"
                  : "not what their device sealed: the seal itself was altered, or all of it together; which change cannot be told");
}

// The arrivals that the device had seen at the hub when it sealed must be the beginning of those held here.
Status LogCheck::check_seen() {
  if (!log_.seal || log_.seal->seen.size == 0) return {};
  const SeenArrivals& seen = log_.seal->seen;
  const LogEntry* arrivals = replica_.store().logs().find(seen.log);
  const bool can_be_compared = arrivals != nullptr && arrivals->opening && seen.size <= arrivals->head.seq && seen.size >= arrivals->base();
  if (!can_be_compared) return {};
  WRACKLINE_TRY_VALUE(tree, replica_.store().logs().tree_at(*arrivals, static_cast<Seq>(seen.size)));
  if (tree.root() != seen.root) {
    put(proto::FAULT_TWO_VIEWS, log_.sealed, log_.sealed, "sealed by a device that has seen other arrivals at the hub than are held here");
  }
  return {};
}

Status LogCheck::check_arrival(const ArrivalRow& row, const Hash& root) {
  LogTable& logs = replica_.store().logs();
  const LogEntry* by = logs.find(logs.id_of(row.entry).log);
  if (by == nullptr || !replica_.devices().hub().speaks(*by, seq_of(row.entry))) return {};
  // Where the hub's word itself was altered, its own log is where that is told.
  const auto leaf = logs.leaf_at(row.entry);
  const auto mark = logs.mark_at(row.entry);
  if (!leaf || !mark || ByteView(*mark) != mark_of(*leaf)) return {};
  const auto bytes = logs.bytes_of(row.entry);
  const auto entry = bytes ? read_change(*bytes) : Result<Change>(fail(bytes.error()));
  if (!entry) return {};
  for (const ArrivedSpan& span : arrived_spans(entry->fields)) {
    if (span.log != log_.id || span.last != seq_of(row.last)) continue;
    if (span.root == root) {
      out_.set_arrivals(out_.arrivals() + 1);
    } else {
      WRACKLINE_TRY_VALUE(is_of_another, replica_.store().records().arrivals().is_of_another_branch(log_, row));
      if (is_of_another) continue;
      put(proto::FAULT_ARRIVAL, span.first, span.last, "other changes than those that the hub says it came to hold");
    }
  }
  return {};
}

// The hub told of what it held; less than that means that an end was cut off. And a hub tells of all that it holds.
Status LogCheck::check_arrivals_end() {
  WRACKLINE_TRY_VALUE(told, replica_.store().records().arrivals().told_of(log_, replica_.devices().hub()));
  const bool is_told_by_seal = log_.seal && log_.seal->size >= told && log_.seal->steps.empty();
  if (told > log_.head.seq && !is_told_by_seal) {
    put(proto::FAULT_MISSING, log_.head.seq + 1, told,
        "missing, though the hub says that it came to hold them; after an exchange that did not end, the next one brings them");
  }
  if (replica_.is_hub() && !log_.is_arrivals() && told < log_.sealed && !replica_.devices().hub().is_key(log_.opening->device)) {
    put(proto::FAULT_ARRIVAL, told + 1, log_.sealed, "held here without a word of when they came; it was taken away");
  }
  return {};
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
  if (const auto device = replica_.devices().find(log_.opening->device)) place.set_device_name(device->name);
  return place;
}

// Tells whose change it is by the bytes that stand here now. They are altered, so every part may be wrong or
// unreadable.
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
    if (id < from || (!log.opening && log.head.seq == 0)) continue;
    if (!log.opening) {
      proto::Refusal& problem = *out.add_problems();
      problem.set_log(id.value);
      problem.set_code(static_cast<std::uint32_t>(ErrorCode::kBadSeal));
      problem.set_message("log " + to_text(id) + ": changes of it stand here, and nothing says whose they are: it was taken away");
      out.add_places()->set_fault(proto::FAULT_OWNER);
      continue;
    }
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
