#include "evidence_check.h"

#include <algorithm>
#include <set>

#include "base/wire.h"
#include "crypto/texts.h"
#include "hub_word.h"
#include "log/branch.h"
#include "log/known_tree.h"
#include "model/kinds.h"
#include "model/named.h"
#include "problems.h"
#include "record_words.h"

namespace wrackline::evidence {
namespace {

// A branch of a branch, and so on: further than anybody clones a tablet.
constexpr std::size_t kBranchesMax = 16;

ByteView last_bytes(ByteView fields, std::uint32_t number) {
  WireReader reader(fields);
  WireField field;
  ByteView found;
  while (reader.next(field)) {
    if (field.number == number) found = field.bytes;
  }
  return found;
}

std::string text_of(const FileLog& log, const FileChange& change) {
  return "log " + to_text(log.log) + ", change " + std::to_string(change.seq) + " (line " + std::to_string(change.line) + ")";
}
std::string text_of(const FileLog& log) { return "log " + to_text(log.log) + " (line " + std::to_string(log.line) + ")"; }

// A tree by the paths to it. Each path may build on those before it, so once one has failed those behind it prove nothing more;
// but which of them are at odds with the file itself, and which only build on the one that failed, can still be told.
class PathCheck {
 public:
  explicit PathCheck(const LogSeal& seal) : tree_(seal.size, seal.root) {}
  const KnownTree& tree() const { return tree_; }
  // Gives the hash that the file tells.
  std::optional<Hash> find(const Subtree& at) const { return told_ ? told_->find(at) : tree_.find(at); }

  enum class Result { kProven, kUnproven, kAtOdds };
  Result take(const Subtree& at, const Hash& root, const TreePath& path) {
    if (!told_) {
      if (tree_.learn(at, root, path)) return Result::kProven;
      told_ = tree_;
      (void)told_->assume(at, root, path);
      return Result::kAtOdds;
    }
    const bool is_proven = tree_.learn(at, root, path);
    if (told_->learn(at, root, path)) return is_proven ? Result::kProven : Result::kUnproven;
    (void)told_->assume(at, root, path);
    return is_proven ? Result::kProven : Result::kAtOdds;
  }

 private:
  KnownTree tree_;
  std::optional<KnownTree> told_;  // Since a path has failed: by the file's word.
};

class Checker {
 public:
  Checker(const File& file, const PublicKey& hub_key) : file_(file), hub_key_(hub_key) {}
  Verdict run();

 private:
  void put(const std::string& sentence) { put_problem(out_, sentence); }

  void check_log(const FileLog& log);
  bool is_sealed_by(const FileLog& log, const PublicKey& key) const;
  void put_bad_seal(const FileLog& log) {
    put(text_of(log) + ": the seal is not its device's: the seal, or how far it goes and whose it is, was altered");
  }
  void check_sealed(const FileLog& log);
  HubLineage check_waiting();
  // The changes that the seal covers, and the roots that the paths lead to.
  std::vector<const FileChange*> check_paths(const FileLog& log);
  std::vector<const FileChange*> check_whole_tree(const FileLog& log);
  void check_branch(const FileLog& log);
  void prove(const FileLog& log, const FileChange& change, const Ancestry& branches);
  Ancestry ancestry(const FileLog& log) const;
  std::string reading_of(const FileLog& log, const FileChange& change) const;
  // The kind of a record whose birth is in the file, altered or not; 0 otherwise.
  std::uint32_t kind_of(RecordId record) const;
  void learn_names();
  void check_records();
  void check_whole();

  const File& file_;
  PublicKey hub_key_;
  Verdict out_;
  KnownRoots roots_;
  std::vector<const FileLog*> waiting_;  // For a key of the hub's that sealed them.
};

bool Checker::is_sealed_by(const FileLog& log, const PublicKey& key) const {
  return verify_signature(key, seal_text(file_.facility, log.sealed_as, log.opening, log.seal), log.seal.signature);
}

void Checker::check_log(const FileLog& log) {
  out_.changes += log.changes.size();
  const bool is_former = log.opening.log_class == LogClass::kFormer;
  if (!is_former && log_id(file_.facility, log.opening) != log.sealed_as) {
    put(text_of(log) + ": its id does not follow from this facility and from who opened it: altered, or another's");
  } else if (is_sealed_by(log, log.opening.device)) {
    check_sealed(log);
  } else if (is_former) {
    waiting_.push_back(&log);
  } else {
    put_bad_seal(log);
  }
}

// The hub may have sealed in the place of a device that is gone. Which keys are the hub's may stand in just such a log, so those
// whose seal is a known key's come first.
HubLineage Checker::check_waiting() {
  std::set<PublicKey> tried;
  for (;;) {
    HubLineage hub = hub_lineage(file_, hub_key_, out_);
    std::vector<PublicKey> fresh;
    for (const PublicKey& key : hub.keys()) {
      if (tried.insert(key).second) fresh.push_back(key);
    }
    if (fresh.empty() || waiting_.empty()) {
      for (const FileLog* log : waiting_) put_bad_seal(*log);
      return hub;
    }
    std::vector<const FileLog*> rest;
    for (const FileLog* log : waiting_) {
      if (std::any_of(fresh.begin(), fresh.end(), [&](const PublicKey& key) { return is_sealed_by(*log, key); })) {
        check_sealed(*log);
        out_.vouched.insert(log->log);
      } else {
        rest.push_back(log);
      }
    }
    waiting_ = std::move(rest);
  }
}

std::vector<const FileChange*> Checker::check_paths(const FileLog& log) {
  PathCheck paths(log.seal);
  for (const FileReach& reach : log.reaches) {
    const Subtree last = last_perfect(reach.size);
    const auto known = paths.find(last);
    // Its own hash stands before its path, unless it is known.
    const bool has_own = !known && !reach.path.empty();
    const Hash own = known ? *known : has_own ? reach.path.front() : Hash{};
    const auto result = paths.take(last, own, {reach.path.begin() + (has_own ? 1 : 0), reach.path.end()});
    if (result == PathCheck::Result::kProven) roots_[log.log][reach.size] = *paths.tree().root_at(reach.size);
    if (result != PathCheck::Result::kAtOdds) continue;
    put("log " + to_text(log.log) + ": the path to its first " + std::to_string(reach.size) + " changes (line " + std::to_string(reach.line) +
        ") does not lead to what its device sealed");
  }
  std::vector<const FileChange*> covered;
  for (const FileChange& change : log.changes) {
    const auto result = paths.take({change.seq - 1, 1}, change.leaf(), change.path);
    if (result == PathCheck::Result::kProven) covered.push_back(&change);
    if (result == PathCheck::Result::kAtOdds) put(text_of(log, change) + ": altered after sealing, or its path was. " + reading_of(log, change));
  }
  return covered;
}

std::vector<const FileChange*> Checker::check_whole_tree(const FileLog& log) {
  Frontier tree;
  std::vector<const FileChange*> covered;
  auto reach = log.reaches.begin();
  std::map<Seq, Hash> roots;
  for (const FileChange& change : log.changes) {
    (void)tree.append(change.leaf());
    covered.push_back(&change);
    if (reach == log.reaches.end() || reach->size != change.seq) continue;
    roots[reach->size] = tree.root();
    ++reach;
  }
  if (tree.root() == log.seal.root) {
    roots_[log.log].insert(roots.begin(), roots.end());
    return covered;
  }
  // Each change stands for itself alone only by its line.
  const std::size_t damaged = file_.damaged_line.value_or(0);
  const auto at = std::find_if(log.changes.begin(), log.changes.end(), [&](const FileChange& change) { return change.line == damaged; });
  if (at != log.changes.end()) {
    put(text_of(log, *at) + ": altered after sealing. " + reading_of(log, *at));
  } else {
    put("log " + to_text(log.log) + ", changes 1 to " + std::to_string(log.size()) + " (lines " + std::to_string(log.changes.front().line) +
        " to " + std::to_string(log.changes.back().line) + "): not what their device sealed; which of them was altered cannot be told");
  }
  return {};
}

void Checker::check_branch(const FileLog& log) {
  const FileChange& first = log.changes.front();
  if (first.seq != log.branch_after + 1 || branch_id(log.sealed_as, log.branch_after, first.leaf()) != log.log) {
    put(text_of(log) + ": its id does not follow from the change with which it branches off");
  }
  const auto parent = file_.logs.find(log.branch_of);
  const bool is_known = parent == file_.logs.end() || (parent->second.sealed_as == log.sealed_as && parent->second.branch_after <= log.branch_after);
  if (!is_known) put(text_of(log) + ": it does not branch off the log it says");
}

void Checker::check_sealed(const FileLog& log) {
  ++out_.seals;
  const std::vector<const FileChange*> covered = log.whole ? check_whole_tree(log) : check_paths(log);
  roots_[log.log][log.size()] = log.seal.root;
  if (log.branch_of) check_branch(log);
  const Ancestry branches = ancestry(log);
  for (const FileChange* change : covered) prove(log, *change, branches);
}

Ancestry Checker::ancestry(const FileLog& log) const {
  Ancestry out;
  const FileLog* at = &log;
  while (at != nullptr && at->branch_of && out.size() < kBranchesMax) {
    out.emplace_back(at->branch_after, at->log);
    const auto parent = file_.logs.find(at->branch_of);
    at = parent == file_.logs.end() ? nullptr : &parent->second;
  }
  return out;
}

// A sentence that tells how the altered bytes read.
std::string Checker::reading_of(const FileLog& log, const FileChange& change) const {
  Bytes bytes = joined(change.parts);
  rebind(bytes, log.sealed_as, ancestry(log));
  const auto read = read_change(bytes);
  if (!read) return "What stands there can no longer be read.";
  const RecordId record = read->is_birth() ? ChangeId{log.log, change.seq} : read->record;
  std::string kind = read->is_birth() ? kind_word(read->kind) : "";
  std::string fields;
  const std::uint32_t known = read->is_birth() ? read->kind : kind_of(record);
  WireReader reader(read->fields);
  WireField field;
  std::set<std::uint32_t> numbers;
  while (reader.next(field)) numbers.insert(field.number);
  for (const std::uint32_t number : numbers) fields += (fields.empty() ? "" : ", ") + field_word(known, number);
  if (kind.empty()) kind = known != 0 ? kind_word(known) : "record";
  const auto name = file_.names.find(read->author);
  return "As it stands it reads as " + std::string(read->is_birth() ? "a new " : "an edit of a ") + kind + ", " + to_text(record) + ", by " +
         (!read->author               ? "the hub"
          : name != file_.names.end() ? name->second
                                      : to_text(read->author)) +
         ", entered " + utc_text(read->entered_ms()) + (fields.empty() ? "" : ", of the fields " + fields) + ".";
}

void Checker::prove(const FileLog& log, const FileChange& change, const Ancestry& branches) {
  ProvenChange proven;
  proven.id = {log.log, change.seq};
  proven.device = log.opening.device;
  proven.check = first4(change.leaf());
  proven.is_withheld = change.commit.has_value();
  Bytes bytes = joined(change.parts);
  const LeafParts parts = leaf_parts(bytes);
  if (!proven.is_withheld && (parts.content != change.parts.content || parts.envelope != change.parts.envelope)) {
    put(text_of(log, change) + ": sealed so, but its content and its envelope are no parts of one change");
    return;
  }
  if (log.branch_of) rebind(bytes, log.sealed_as, branches);
  proven.bytes = std::make_unique<const Bytes>(std::move(bytes));
  const auto read = read_change(*proven.bytes);
  if (!read) {
    put(text_of(log, change) + ": sealed so, but it is no change that can be read: " + read.error().message);
    return;
  }
  proven.change = *read;
  out_.withheld += proven.is_withheld ? 1 : 0;
  const ChangeId id = proven.id;
  out_.proven.emplace(id, std::move(proven));
}

std::uint32_t Checker::kind_of(RecordId record) const {
  const auto proven = out_.proven.find(record);
  if (proven != out_.proven.end()) return proven->second.change.kind;
  const auto log = file_.logs.find(record.log);
  if (log == file_.logs.end()) return 0;
  const std::vector<FileChange>& changes = log->second.changes;
  const auto at = std::lower_bound(changes.begin(), changes.end(), record.seq, [](const FileChange& c, Seq seq) { return c.seq < seq; });
  if (at == changes.end() || at->seq != record.seq) return 0;
  const Bytes bytes = joined(at->parts);
  const auto birth = read_change(bytes);
  return birth ? birth->kind : 0;
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
    out_.names[proven.record()] = visible(name);
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
  const std::set<RecordId> records(file_.records.begin(), file_.records.end());
  std::set<LogId> concerned;
  for (const auto& [id, proven] : out_.proven) {
    if (records.count(proven.record()) != 0) concerned.insert(id.log);
  }
  for (const FileLog* log : file_.in_order()) {
    if (concerned.count(log->log) != 0 && !log->whole && !log->branch_of) {
      put(text_of(*log) + ": the file says that it holds whole logs, but of this one it holds single changes");
    }
  }
}

Verdict Checker::run() {
  for (const FileLog* log : file_.in_order()) check_log(*log);
  const HubLineage hub = check_waiting();
  check_hub_keys(file_, hub, out_);
  hear_hub(file_, hub, roots_, out_);
  learn_names();
  // The rest is meant for files whose logs hold; on others it would only bury the first fault.
  if (out_.good()) {
    check_owners(file_, hub, out_);
    check_records();
    check_whole();
  }
  if (file_.damaged_line) put("line " + std::to_string(*file_.damaged_line) + " of the file is not as it was written: altered or damaged");
  return std::move(out_);
}

}  // namespace

Verdict check(const File& file, const std::optional<PublicKey>& hub_key) { return Checker(file, hub_key.value_or(file.hub_key)).run(); }

}  // namespace wrackline::evidence
