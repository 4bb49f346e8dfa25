#include "evidence_check.h"

#include <algorithm>
#include <set>

#include "base/wire.h"
#include "crypto/texts.h"
#include "log/branch.h"
#include "log/chain.h"
#include "log/marks.h"
#include "model/device.h"
#include "model/kinds.h"
#include "model/named.h"
#include "record_words.h"

namespace wrackline::evidence {
namespace {

constexpr std::size_t kProblemsMax = 100;

ByteView last_bytes(ByteView fields, std::uint32_t number) {
  WireReader reader(fields);
  WireField field;
  ByteView found;
  while (reader.next(field)) {
    if (field.number == number) found = field.bytes;
  }
  return found;
}

class Checker {
 public:
  Checker(const File& file, const std::vector<PublicKey>& hub_keys)
      : file_(file), hub_keys_(hub_keys.empty() ? std::vector<PublicKey>{file.hub_key} : hub_keys) {}
  Verdict run();

 private:
  // The one place that says which keys are the hub's.
  bool is_hub_key(const PublicKey& key) const {
    return std::find(hub_keys_.begin(), hub_keys_.end(), key) != hub_keys_.end();
  }
  bool is_signed_by_hub(ByteView text, const Signature& signature) const {
    return std::any_of(hub_keys_.begin(), hub_keys_.end(),
                       [&](const PublicKey& key) { return verify_signature(key, text, signature); });
  }
  void put(std::string sentence) {
    if (out_.problems.size() < kProblemsMax) out_.problems.push_back(std::move(sentence));
  }

  void check_start(const FilePart& part);
  void check_branch(const FilePart& part);
  void check_part(const FilePart& part);
  // Changes `from` to `to` (indexes) of a part, which its seal covers; moves `chain` over them. False when
  // nothing is known that the changes behind them could stand on.
  bool check_run(const FilePart& part, std::size_t from, std::size_t to, const FileSeal& seal,
                 MarkedChain& chain);
  void name_altered(const FilePart& part, std::size_t from, std::size_t to, const FileSeal& seal,
                    ByteView computed);
  // Whose word a receipt is can be told only when all keys of the hub are known.
  void claim_receipts(const FilePart& part, std::size_t from, std::size_t to,
                      const std::vector<Hash>& chains);
  // Adds the keys that a key of the hub's names as the hub's, in changes that hold.
  void follow_hub_keys();
  void judge_receipts();
  void prove(const FilePart& part, std::size_t from, std::size_t to);
  Ancestry ancestry(const FilePart& part) const;
  std::string reading_of(const FilePart& part, const FileChange& change) const;
  // Of a record whose birth is in the file, altered or not; 0 otherwise.
  std::uint32_t kind_of(RecordId record) const;
  void learn_devices();
  void learn_names();
  void check_devices();
  void check_records();
  void check_whole();

  struct ClaimedReceipt {
    LogId log;
    FileReceipt receipt;
    Bytes text;
  };

  const File& file_;
  std::vector<PublicKey> hub_keys_;
  std::vector<ClaimedReceipt> claimed_;
  Verdict out_;
  std::map<ChangeId, Hash> chain_at_;  // At branches' places only.
};

std::string change_text(const FilePart& part, Seq seq) {
  return "log " + to_text(part.log) + ", change " + std::to_string(seq);
}

void Checker::check_start(const FilePart& part) {
  if (part.first == 1 && part.before != chain_start(file_.facility, part.sealed_as, part.device)) {
    put("log " + to_text(part.log) + ": its beginning (line " + std::to_string(part.line) +
        ") is not that of this facility, log and device: altered, or another's");
  }
  if (part.branch_of) check_branch(part);
}

void Checker::check_branch(const FilePart& part) {
  const Seq first_own = part.branch_after + 1;
  if (part.first != first_own || part.changes.empty()) return;
  if (branch_id(part.sealed_as, part.branch_after, part.changes.front().bytes) != part.log) {
    put("log " + to_text(part.log) + ": its id does not follow from the change where it branches off (line " +
        std::to_string(part.line) + ")");
  }
  const auto parent = chain_at_.find({part.branch_of, part.branch_after});
  if (parent != chain_at_.end() && parent->second != part.before) {
    put("log " + to_text(part.log) + ": it does not branch off the log it says (line " +
        std::to_string(part.line) + ")");
  }
}

Ancestry Checker::ancestry(const FilePart& part) const {
  Ancestry out;
  const FilePart* at = &part;
  while (at != nullptr && at->branch_of && out.size() < file_.parts.size()) {
    out.emplace_back(at->branch_after, at->log);
    const auto parent = std::find_if(file_.parts.begin(), file_.parts.end(),
                                     [&](const FilePart& p) { return p.log == at->branch_of; });
    at = parent == file_.parts.end() ? nullptr : &*parent;
  }
  return out;
}

void Checker::check_part(const FilePart& part) {
  check_start(part);
  MarkedChain chain{part.before, {}};
  std::size_t from = 0;
  for (const FileSeal& seal : part.seals) {
    const std::size_t to = seal.seq - part.first + 1;
    if (!check_run(part, from, to, seal, chain)) return;
    from = to;
  }
}

bool Checker::check_run(const FilePart& part, std::size_t from, std::size_t to, const FileSeal& seal,
                        MarkedChain& chain) {
  chain.marks.clear();
  std::vector<Hash> chains;
  for (std::size_t i = from; i < to; ++i) {
    chain.step(part.changes[i].bytes);
    chains.push_back(chain.chain);
    chain_at_.emplace(ChangeId{part.log, part.changes[i].seq}, chain.chain);
  }
  out_.changes += to - from;
  const auto is_sealed = [&](const Hash& hash) {
    return verify_signature(part.device, seal_text(file_.facility, {part.sealed_as, seal.seq}, hash),
                            seal.signature);
  };
  if (!is_sealed(chain.chain)) {
    name_altered(part, from, to, seal, chain.marks);
    // Where the seal holds for the hash beside it, that is where the next run goes on.
    chain.chain = seal.hash;
    return is_sealed(seal.hash);
  }
  ++out_.seals;
  if (seal.hash != chain.chain) {
    put("log " + to_text(part.log) + ", change " + std::to_string(seal.seq) + " (line " +
        std::to_string(seal.line) + "): as sealed; only the hash beside its seal was altered");
  }
  for (std::size_t i = from; i < to; ++i) {
    if (part.changes[i].mark == mark_of(chains[i - from])) continue;
    put(change_text(part, part.changes[i].seq) + " (line " + std::to_string(part.changes[i].line) +
        "): as sealed; only the mark beside it was altered");
  }
  claim_receipts(part, from, to, chains);
  prove(part, from, to);
  return true;
}

void Checker::name_altered(const FilePart& part, std::size_t from, std::size_t to, const FileSeal& seal,
                           ByteView computed) {
  for (std::size_t i = from; i < to; ++i) {
    if (part.changes[i].mark == computed.substr((i - from) * kMarkBytes, kMarkBytes)) continue;
    const FileChange& change = part.changes[i];
    // An altered hash before the first change shows at that change too.
    const std::string what =
        i == 0 && file_.damaged_line && *file_.damaged_line == part.line
            ? "the line that begins its log (line " + std::to_string(part.line) + ") was altered"
            : "altered after sealing";
    put(change_text(part, change.seq) + " (line " + std::to_string(change.line) + "): " + what + ". " +
        reading_of(part, change));
    return;
  }
  put("log " + to_text(part.log) + ", changes " + std::to_string(part.changes[from].seq) + " to " +
      std::to_string(seal.seq) + ": not what their device sealed: the seal (line " +
      std::to_string(seal.line) + ") or who made it (line " + std::to_string(part.line) +
      ") was altered, or all of it together");
}

// Whose it is, as the altered bytes read.
std::string Checker::reading_of(const FilePart& part, const FileChange& change) const {
  Bytes content(change.bytes);
  rebind(content, part.sealed_as, ancestry(part));
  const auto read = read_change(content);
  if (!read) return "What stands there can no longer be read.";
  const RecordId record = read->is_birth() ? ChangeId{part.log, change.seq} : read->record;
  std::string kind = read->is_birth() ? kind_word(read->kind) : "";
  std::string fields;
  const std::uint32_t known = read->is_birth() ? read->kind : kind_of(record);
  WireReader reader(read->fields);
  WireField field;
  std::set<std::uint32_t> numbers;
  while (reader.next(field)) numbers.insert(field.number);
  for (const std::uint32_t number : numbers)
    fields += (fields.empty() ? "" : ", ") + field_word(known, number);
  if (kind.empty()) kind = known != 0 ? kind_word(known) : "record";
  const auto name = file_.names.find(read->author);
  return "As it stands it reads as " + std::string(read->is_birth() ? "a new " : "an edit of a ") + kind +
         ", " + to_text(record) + ", by " +
         (!read->author               ? "the hub"
          : name != file_.names.end() ? name->second
                                      : to_text(read->author)) +
         ", entered " + utc_text(read->entered_ms()) + (fields.empty() ? "" : ", of the fields " + fields) +
         ".";
}

void Checker::claim_receipts(const FilePart& part, std::size_t from, std::size_t to,
                             const std::vector<Hash>& chains) {
  for (const FileReceipt& receipt : part.receipts) {
    const std::size_t at = receipt.seq - part.first;
    if (at < from || at >= to) continue;
    const Bytes text =
        receipt_text(file_.facility, {part.log, receipt.seq}, first8(chains[at - from]), receipt.held_ms);
    claimed_.push_back({part.log, receipt, text});
  }
}

void Checker::follow_hub_keys() {
  for (bool has_new = true; has_new;) {
    has_new = false;
    for (const auto& [id, proven] : out_.proven) {
      if (!proven.change.is_birth() || proven.change.kind != static_cast<std::uint32_t>(Kind::kDevice) || !is_hub_key(proven.device)) continue;
      const auto fields = device_fields(proven.change.fields);
      if (!fields || !fields->of_hub || is_hub_key(fields->key)) continue;
      hub_keys_.push_back(fields->key);
      has_new = true;
    }
  }
}

void Checker::judge_receipts() {
  for (const ClaimedReceipt& claimed : claimed_) {
    const FileReceipt& receipt = claimed.receipt;
    if (is_signed_by_hub(claimed.text, receipt.signature)) {
      ++out_.receipts;
      out_.held[claimed.log].push_back({receipt.seq, receipt.held_ms});
    } else {
      put("log " + to_text(claimed.log) + ": the receipt for its changes up to " + std::to_string(receipt.seq) +
          " (line " + std::to_string(receipt.line) + ") is not the hub's word for them");
    }
  }
}

void Checker::prove(const FilePart& part, std::size_t from, std::size_t to) {
  const Ancestry branches = ancestry(part);
  for (std::size_t i = from; i < to; ++i) {
    const FileChange& change = part.changes[i];
    ProvenChange proven;
    proven.id = {part.log, change.seq};
    proven.device = part.device;
    proven.check = check_of(change.bytes);
    Bytes content(change.bytes);
    if (part.branch_of) rebind(content, part.sealed_as, branches);
    proven.content = std::make_unique<const Bytes>(std::move(content));
    const auto read = read_change(*proven.content);
    if (!read) {
      put(change_text(part, change.seq) +
          ": sealed so, but it is no change that can be read: " + read.error().message);
      continue;
    }
    proven.change = *read;
    const ChangeId id = proven.id;
    if (!out_.proven.emplace(id, std::move(proven)).second)
      put(change_text(part, change.seq) + ": it is in the file twice");
  }
}

std::uint32_t Checker::kind_of(RecordId record) const {
  const auto proven = out_.proven.find(record);
  if (proven != out_.proven.end()) return proven->second.change.kind;
  for (const FilePart& part : file_.parts) {
    if (part.log != record.log || record.seq < part.first || record.seq > part.last) continue;
    const auto birth = read_change(part.changes[record.seq - part.first].bytes);
    if (birth) return birth->kind;
  }
  return 0;
}

void Checker::learn_devices() {
  std::map<RecordId, PublicKey> by_record;
  for (const auto& [id, proven] : out_.proven) {
    if (!proven.change.is_birth() || proven.change.kind != static_cast<std::uint32_t>(Kind::kDevice) ||
        !is_hub_key(proven.device))
      continue;
    const auto fields = device_fields(proven.change.fields);
    if (!fields) continue;
    out_.devices.try_emplace(fields->key, KnownDevice{fields->name, id, fields->enrolled_ms, built_in_of(proven.change.fields).struck});
    by_record.emplace(id, fields->key);
  }
  std::map<RecordId, Stamp> latest;
  for (const auto& [id, proven] : out_.proven) {
    const auto device = proven.change.is_birth() ? by_record.end() : by_record.find(proven.change.record);
    if (device == by_record.end()) continue;
    bool speaks_of_standing = false;
    WireReader reader(proven.change.fields);
    WireField field;
    while (reader.next(field)) speaks_of_standing = speaks_of_standing || field.number == kStandingField;
    Stamp& last = latest[proven.change.record];
    if (!speaks_of_standing || proven.change.stamp < last) continue;
    last = proven.change.stamp;
    out_.devices[device->second].is_revoked = built_in_of(proven.change.fields).struck;
  }
}

void Checker::learn_names() {
  std::map<RecordId, Stamp> latest;
  for (const auto& [id, proven] : out_.proven) {
    const std::uint32_t kind = proven.change.is_birth() ? proven.change.kind : kind_of(proven.change.record);
    if (!has_name(kind)) continue;
    const ByteView name = last_bytes(proven.change.fields, kRecordNameField);
    Stamp& last = latest[proven.record()];
    if (name.empty() || proven.change.stamp < last) continue;
    last = proven.change.stamp;
    out_.names[proven.record()] = std::string(name);
  }
}

void Checker::check_devices() {
  std::map<LogId, PublicKey> owner;
  std::map<LogId, Seq> reached;
  for (const FilePart& part : file_.parts) {
    const auto [known, is_new] = owner.emplace(part.log, part.device);
    out_.logs += is_new ? 1 : 0;
    if (known->second != part.device)
      put("log " + to_text(part.log) + ": two devices are said to own it (line " + std::to_string(part.line) +
          ")");
    if (!is_new && part.first <= reached[part.log]) {
      put("log " + to_text(part.log) + ": its parts overlap (line " + std::to_string(part.line) + ")");
    }
    reached[part.log] = part.last;
    if (!is_new || is_hub_key(part.device) || out_.devices.count(part.device) != 0) continue;
    put("log " + to_text(part.log) + " (line " + std::to_string(part.line) +
        "): the key that sealed it is none that the hub has enrolled, by what is in the file");
  }
}

void Checker::check_records() {
  std::set<RecordId> touched;
  for (const auto& [id, proven] : out_.proven) touched.insert(proven.record());
  for (const RecordId record : file_.records) {
    if (touched.count(record) == 0) put("record " + to_text(record) + ": the file holds no change of it");
  }
}

void Checker::check_whole() {
  if (!file_.whole) return;
  for (const FilePart& part : file_.parts) {
    const bool is_concerned =
        std::any_of(part.changes.begin(), part.changes.end(), [&](const FileChange& change) {
          const auto proven = out_.proven.find({part.log, change.seq});
          return proven != out_.proven.end() && std::find(file_.records.begin(), file_.records.end(),
                                                          proven->second.record()) != file_.records.end();
        });
    const Seq base = part.branch_of ? part.branch_after : 0;
    if (is_concerned && part.first != base + 1) {
      put("log " + to_text(part.log) + ": the file says it holds whole logs, but this one begins at change " +
          std::to_string(part.first));
    }
  }
}

Verdict Checker::run() {
  for (const FilePart& part : file_.parts) check_part(part);
  follow_hub_keys();
  if (!is_hub_key(file_.hub_key)) {
    put("the file was not made for the hub whose key was given: it names the key " +
        to_hex(view(file_.hub_key)) + " (line 1)");
  }
  judge_receipts();
  for (auto& [log, held] : out_.held)
    std::sort(held.begin(), held.end(), [](const Held& a, const Held& b) { return a.seq < b.seq; });
  learn_devices();
  learn_names();
  // What follows is meant for files whose chains hold; on others it would only bury the first fault.
  if (out_.good()) {
    check_devices();
    check_records();
    check_whole();
  }
  if (file_.damaged_line && out_.problems.size() < kProblemsMax) {
    const std::string line = "line " + std::to_string(*file_.damaged_line) +
                             " of the file is not as it was written: altered or damaged";
    // A change that is named says more than the line it stands in.
    out_.problems.push_back(line);
  }
  return std::move(out_);
}

}  // namespace

std::optional<WallMs> Verdict::held_ms(ChangeId id) const {
  const auto log = held.find(id.log);
  if (log == held.end()) return std::nullopt;
  const auto at = std::lower_bound(log->second.begin(), log->second.end(), id.seq,
                                   [](const Held& h, Seq seq) { return h.seq < seq; });
  return at == log->second.end() ? std::nullopt : std::optional<WallMs>(at->ms);
}

Verdict check(const File& file, const std::vector<PublicKey>& hub_keys) {
  return Checker(file, hub_keys).run();
}

}  // namespace wrackline::evidence
