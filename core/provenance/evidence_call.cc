// Evidence of some records for an outsider, as the text of a file, piece by piece. See core/README.md for the file.
#include <algorithm>

#include "base/base64.h"
#include "log/evidence_lines.h"
#include "log/known_tree.h"
#include "provenance/evidence_plan.h"
#include "provenance/provenance_calls.h"
#include "reading/record_view.h"
#include "replica/author.h"
#include "store/seal_check.h"

namespace wrackline {
namespace {

constexpr int kRecordsMax = 1000;
// A piece ends with the change that passes this.
constexpr std::size_t kPieceBytes = 512 * 1024;

std::string member(const char* name, ByteView text) { return std::string(",\"") + name + "\":" + json_string(text); }
std::string member(const char* name, std::uint64_t number) {
  return std::string(",\"") + name + "\":" + std::to_string(number);
}
std::string member(const char* name, bool yes) { return std::string(",\"") + name + "\":" + (yes ? "true" : "false"); }

Unexpected refuse(const std::string& why) {
  return fail(ErrorCode::kInvalid, "writing evidence: " + why + "; nothing was written");
}

class Piece {
 public:
  Piece(Replica& replica, const proto::EvidenceCall& call, proto::EvidenceReply& out, EvidenceCheck check)
      : replica_(replica), logs_(replica.store().logs()), out_(out), writer_(check) {
    for (const proto::RecordRef& ref : call.records()) {
      if (std::find(records_.begin(), records_.end(), id_of(ref)) == records_.end()) records_.push_back(id_of(ref));
    }
  }

  Status begin(const EvidencePlan& plan, bool whole);
  // Goes on at `cursor`, moves it, and says whether there is more.
  Result<bool> go_on(proto::EvidenceCursor& cursor);
  void end(proto::EvidenceCursor& cursor);
  EvidenceWriter& writer() { return writer_; }

 private:
  Status write_log(const LogEntry& log, const proto::EvidencePart& part);
  Status begin_part(const LogEntry& log, const proto::EvidencePart& part, Seq before);
  Result<TreePath> learn(const LogEntry& log, const Subtree& at, const Hash& root, TreePath path);
  Result<TreePath> path_to_reach(const LogEntry& log, Seq reach);
  Result<TreePath> path_to_change(const LogEntry& log, Seq seq, const Hash& leaf);
  Status write_change(const LogEntry& log, Seq seq, bool is_shown, bool has_path);

  Replica& replica_;
  LogTable& logs_;
  proto::EvidenceReply& out_;
  EvidenceWriter writer_;
  std::vector<RecordId> records_;
  // The tree of the log under way, as far as the reader of the file knows it.
  std::optional<KnownTree> tree_;
};

Status Piece::begin(const EvidencePlan& plan, bool whole) {
  std::string line = "{\"type\":\"evidence\"" + member("version", std::uint64_t{kEvidenceVersion});
  line += member("facility", to_base64(view(replica_.store().facility())));
  line += member("hub_key", to_base64(view(replica_.membership().hub_key)));
  line += member("written_ms", replica_.now()) + member("whole", whole) + ",\"records\":[";
  for (std::size_t i = 0; i < records_.size(); ++i) line += (i == 0 ? "" : ",") + json_string(to_text(records_[i]));
  writer_.line(line + "]");
  for (const auto& [record, name] : plan.names) {
    writer_.line("{\"type\":\"name\"" + member("record", to_text(record)) + member("name", name));
  }
  return {};
}

std::string path_member(const TreePath& path) {
  if (path.empty()) return {};
  Bytes out;
  for (const Hash& hash : path) out += view(hash);
  return member("path", to_base64(out));
}

Unexpected seal_fails(const LogEntry& log) {
  return fail(ErrorCode::kBadSeal, "writing evidence: log " + to_text(log.id) +
                                       " is not here as its device sealed it; what was written proves nothing; see what `verify` says");
}

// Tells whose log it is, with the seal that covers all of it that is in the file.
Status Piece::write_log(const LogEntry& log, const proto::EvidencePart& part) {
  const LogSeal& seal = *log.seal;
  const LogOpening& opening = *log.opening;
  if (!is_signed(replica_.store().facility(), log.sealed_as(), opening, seal, replica_.devices().hub())) {
    return seal_fails(log);
  }
  std::string line = "{\"type\":\"log\"" + member("log", to_text(log.id));
  if (opening.device != replica_.membership().hub_key) line += member("device", to_base64(view(opening.device)));
  if (opening.log_class != LogClass::kMixed) line += member("class", std::uint64_t{static_cast<std::uint8_t>(opening.log_class)});
  if (opening.area) line += member("area", to_text(opening.area));
  line += member("nonce", to_base64(view(opening.nonce)));
  if (log.branch) {
    line += member("sealed_as", to_text(log.branch->root)) + member("branch_of", to_text(log.branch->of)) +
            member("branch_after", std::uint64_t{log.branch->after});
  }
  line += member("size", seal.size) + member("root", to_base64(view(seal.root)));
  if (seal.seen.size > 0) {
    line += member("seen_log", to_text(seal.seen.log)) + member("seen_size", seal.seen.size) +
            member("seen_root", to_base64(view(seal.seen.root)));
  }
  if (part.whole()) line += member("whole", true);
  writer_.line(line + member("signature", to_base64(view(seal.signature))));
  return {};
}

// The path from a subtree up to where the reader of the file knows the tree already.
Result<TreePath> Piece::learn(const LogEntry& log, const Subtree& at, const Hash& root, TreePath path) {
  const auto size = tree_->path_size(at);
  if (size && path.size() >= *size) path.resize(*size);
  if (!tree_->learn(at, root, path)) return seal_fails(log);
  return path;
}

Result<TreePath> Piece::path_to_reach(const LogEntry& log, Seq reach) {
  const Subtree last = last_perfect(reach);
  WRACKLINE_TRY_VALUE(path, logs_.consistency_of(log, reach, log.sealed));
  // RFC 9162, 2.1.4.1: a tree that is one perfect subtree is not named in its path.
  if (last.count == reach) {
    WRACKLINE_TRY_VALUE(tree, logs_.tree_at(log, reach));
    path.insert(path.begin(), tree.root());
  }
  if (tree_->find(last)) return TreePath();
  const Hash root = path.front();
  path.erase(path.begin());
  WRACKLINE_TRY_VALUE(rest, learn(log, last, root, std::move(path)));
  rest.insert(rest.begin(), root);
  return rest;
}

Result<TreePath> Piece::path_to_change(const LogEntry& log, Seq seq, const Hash& leaf) {
  WRACKLINE_TRY_VALUE(path, logs_.inclusion_of(log, seq, log.sealed));
  return learn(log, {seq - 1, 1}, leaf, std::move(path));
}

// Begins with a log (`before` is 0), or goes on behind a change. The reaches and the nearest change before tell how much of the
// tree around the next one is known; changes before those are further away.
Status Piece::begin_part(const LogEntry& log, const proto::EvidencePart& part, Seq before) {
  tree_.emplace(log.seal->size, log.seal->root);
  if (before == 0) WRACKLINE_TRY(write_log(log, part));
  for (const Seq reach : part.reaches()) {
    if (reach <= log.base() || reach >= log.sealed) return refuse("where to go on is no place of this replica");
    TreePath path;
    if (!part.whole()) {
      WRACKLINE_TRY_VALUE(shown, path_to_reach(log, reach));
      path = std::move(shown);
    }
    if (before == 0) writer_.line("{\"type\":\"reach\"" + member("size", std::uint64_t{reach}) + path_member(path));
  }
  if (before == 0 || part.whole()) return {};
  WRACKLINE_TRY_VALUE(leaf, logs_.leaf_at(place_of(log.no, before)));
  WRACKLINE_TRY_VALUE(path, path_to_change(log, before, leaf));
  (void)path;
  return {};
}

Status Piece::write_change(const LogEntry& log, Seq seq, bool is_shown, bool has_path) {
  WRACKLINE_TRY_VALUE(bytes, logs_.bytes_of(place_of(log.no, seq)));
  const LeafParts parts = leaf_parts(bytes);
  WRACKLINE_TRY_VALUE(salt, logs_.salt_of(log, seq));
  const Hash commit = content_commit(salt, parts.content);
  std::string line = "{\"type\":\"change\"" + member("seq", std::uint64_t{seq}) + member("envelope", to_base64(parts.envelope));
  if (is_shown) {
    line += member("content", to_base64(parts.content)) + member("salt", to_base64(view(salt)));
  } else {
    line += member("commit", to_base64(view(commit)));
    out_.set_withheld(out_.withheld() + 1);
  }
  if (has_path) {
    WRACKLINE_TRY_VALUE(path, path_to_change(log, seq, leaf_of(commit, parts.envelope)));
    line += path_member(path);
  }
  writer_.line(line);
  return {};
}

// Changes of a part of a log that is not whole, ascending; true where the content is shown.
std::vector<std::pair<Seq, bool>> changes_of(const proto::EvidencePart& part) {
  std::vector<std::pair<Seq, bool>> out;
  for (const Seq seq : part.shown()) out.emplace_back(seq, true);
  for (const Seq seq : part.withheld()) out.emplace_back(seq, false);
  std::sort(out.begin(), out.end());
  return out;
}

bool is_sound(const proto::EvidencePart& part, const std::vector<std::pair<Seq, bool>>& changes, const LogEntry* log) {
  if (log == nullptr || !log->opening || !log->seal) return false;
  if (log->sealed == 0 || log->seal->size != log->sealed || log->sealed > log->head.seq) return false;
  if (part.whole() && (log->base() != 0 || part.withheld_size() > 0)) return false;
  if (!part.whole() && changes.empty()) return false;
  if (!std::is_sorted(part.shown().begin(), part.shown().end()) || !std::is_sorted(part.reaches().begin(), part.reaches().end())) return false;
  const auto is_same = [](const auto& a, const auto& b) { return a.first == b.first; };
  if (std::adjacent_find(changes.begin(), changes.end(), is_same) != changes.end()) return false;
  return changes.empty() || (changes.front().first > log->base() && changes.back().first <= log->sealed);
}

Result<bool> Piece::go_on(proto::EvidenceCursor& cursor) {
  while (cursor.part() < static_cast<std::uint32_t>(cursor.parts_size())) {
    const proto::EvidencePart& part = cursor.parts(static_cast<int>(cursor.part()));
    const LogEntry* log = logs_.find(LogId{part.log()});
    const auto changes = changes_of(part);
    const bool can_go_on = is_sound(part, changes, log);
    const auto count = static_cast<std::uint32_t>(can_go_on && part.whole() ? log->sealed : changes.size());
    if (!can_go_on || cursor.at() >= count) return refuse("where to go on is no place of this replica");
    const auto seq_at = [&](std::uint32_t at) { return part.whole() ? at + 1 : changes[at].first; };
    WRACKLINE_TRY(begin_part(*log, part, cursor.at() == 0 ? 0 : seq_at(cursor.at() - 1)));
    if (cursor.at() == 0) cursor.set_seals(cursor.seals() + 1);
    for (; cursor.at() < count; cursor.set_at(cursor.at() + 1)) {
      if (writer_.text().size() >= kPieceBytes && cursor.at() > 0) return true;
      const Seq seq = seq_at(cursor.at());
      const bool is_shown =
          part.whole() ? std::binary_search(part.shown().begin(), part.shown().end(), seq) : changes[cursor.at()].second;
      WRACKLINE_TRY(write_change(*log, seq, is_shown, !part.whole()));
      cursor.set_changes(cursor.changes() + 1);
    }
    cursor.set_part(cursor.part() + 1);
    cursor.set_at(0);
  }
  return false;
}

void Piece::end(proto::EvidenceCursor& cursor) {
  writer_.last_line("{\"type\":\"end\"" + member("lines", std::uint64_t{cursor.lines() + writer_.lines() + 1}) +
                    member("changes", std::uint64_t{cursor.changes()}) + member("seals", std::uint64_t{cursor.seals()}));
}

}  // namespace

Status handle_evidence(Replica& replica, const proto::EvidenceCall& call, proto::EvidenceReply& out) {
  if (call.records_size() == 0 || call.records_size() > kRecordsMax) return refuse("name 1 to 1000 records");
  proto::EvidenceCursor cursor = call.at();
  Hash check = EvidenceCheck().chain();
  if (call.has_at() && !copy_exactly(cursor.check(), check))
    return refuse("where to go on is no place of this replica");
  Piece piece(replica, call, out, EvidenceCheck(check));
  if (!call.has_at()) {
    WRACKLINE_TRY(replica.author().seal());
    std::vector<RecordId> records;
    for (const proto::RecordRef& ref : call.records()) records.push_back(id_of(ref));
    WRACKLINE_TRY_VALUE(plan, plan_evidence(replica, records, call.whole()));
    for (const EvidenceOfLog& log : plan.logs) {
      proto::EvidencePart& part = *cursor.add_parts();
      part.set_log(log.log.value);
      part.set_whole(log.is_whole);
      part.mutable_shown()->Add(log.shown.begin(), log.shown.end());
      part.mutable_withheld()->Add(log.withheld.begin(), log.withheld.end());
      part.mutable_reaches()->Add(log.reaches.begin(), log.reaches.end());
    }
    WRACKLINE_TRY(piece.begin(plan, call.whole()));
  }
  WRACKLINE_TRY_VALUE(has_more, piece.go_on(cursor));
  if (!has_more) piece.end(cursor);
  cursor.set_lines(cursor.lines() + piece.writer().lines());
  cursor.set_check(Bytes(view(piece.writer().check())));
  out.set_text(piece.writer().text());
  out.set_changes(cursor.changes());
  out.set_seals(cursor.seals());
  for (const proto::EvidencePart& part : cursor.parts()) {
    const LogEntry* log = replica.store().logs().find(LogId{part.log()});
    const std::uint32_t of_log = part.whole() && log != nullptr ? log->sealed : static_cast<std::uint32_t>(part.shown_size() + part.withheld_size());
    out.set_changes_in_all(out.changes_in_all() + of_log);
  }
  if (has_more) *out.mutable_next() = std::move(cursor);
  return {};
}

}  // namespace wrackline
