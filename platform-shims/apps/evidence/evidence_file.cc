#include "evidence_file.h"

#include <algorithm>

#include "base/base64.h"
#include "json_object.h"
#include "log/change.h"
#include "log/evidence_lines.h"

namespace wrackline::evidence {
namespace {

constexpr std::size_t kNamesMax = 100'000, kRecordsMax = 1000;

// A tree of 2^64 leaves needs no more.
constexpr std::size_t kPathMax = 64;

class Lines {
 public:
  explicit Lines(File& out) : out_(out) {}
  Status add(ByteView line);
  Status finish() const;

 private:
  // Says what stands at the place, for a line that cannot be read.
  std::string place() const;
  Unexpected broken(const std::string& what) const {
    return fail(ErrorCode::kMalformed, "line " + std::to_string(out_.lines) + " of the file" + place() +
                                           ": " + what + ": altered or damaged");
  }
  std::optional<Bytes> take_bytes(const char* name) {
    const auto text = line_->take<std::string>(name);
    return text ? from_base64(*text) : std::nullopt;
  }
  template <std::size_t N>
  bool take(const char* name, std::array<unsigned char, N>& out) {
    const auto bytes = take_bytes(name);
    return bytes && copy_exactly(*bytes, out);
  }
  bool take(const char* name, LogId& out) {
    const auto text = line_->take<std::string>(name);
    const auto id = text ? parse_change_id(*text + ".1") : std::nullopt;
    if (!id || to_text(id->log) != *text) return false;
    out = id->log;
    return true;
  }
  bool take(const char* name, Seq& out) {
    const auto number = line_->take<std::uint64_t>(name);
    if (!number || *number == 0 || *number > kSeqMax) return false;
    out = static_cast<Seq>(*number);
    return true;
  }
  // A path may be left out; then it is empty.
  bool take_path(TreePath& out);
  bool take_branch(FileLog& log);
  bool take_seal(FileLog& log);
  bool add_header();
  bool add_name();
  bool add_log();
  bool add_reach();
  bool add_change();
  bool add_end();
  // The last change that is here of the log under way; 0 before its first.
  Seq reached() const { return log_ == nullptr || log_->changes.empty() ? 0 : log_->changes.back().seq; }
  bool is_log_complete() const { return log_ == nullptr || (log_->whole ? reached() == log_->size() : reached() > 0); }

  File& out_;
  std::optional<JsonObject> line_;
  EvidenceCheck check_;
  FileLog* log_ = nullptr;  // Under way.
  std::uint64_t changes_ = 0;
  bool has_ended_ = false;
};

std::string Lines::place() const {
  if (out_.lines == 1) return ", which says what it is";
  if (has_ended_) return ", behind its end";
  if (log_ == nullptr) return "";
  if (log_->whole && reached() < log_->size()) return ", where log " + to_text(log_->log) + ", change " + std::to_string(reached() + 1) + " stands";
  return ", in log " + to_text(log_->log) + ", behind change " + std::to_string(reached());
}

bool Lines::add_header() {
  const auto version = line_->take<std::uint64_t>("version");
  const auto written = line_->take<std::uint64_t>("written_ms");
  const auto whole = line_->take<bool>("whole");
  const auto records = line_->take<std::vector<std::string>>("records");
  if (!version || !written || !whole || !records || records->empty() || records->size() > kRecordsMax) return false;
  out_.written_ms = *written;
  out_.whole = *whole;
  for (const std::string& text : *records) {
    const auto record = parse_change_id(text);
    if (!record || std::find(out_.records.begin(), out_.records.end(), *record) != out_.records.end()) return false;
    out_.records.push_back(*record);
  }
  return *version == kEvidenceVersion && take("facility", out_.facility) && take("hub_key", out_.hub_key);
}

bool Lines::add_name() {
  const auto record = line_->take<std::string>("record");
  const auto name = line_->take<std::string>("name");
  const auto id = record ? parse_change_id(*record) : std::nullopt;
  return id && name && log_ == nullptr && out_.names.size() < kNamesMax && out_.names.emplace(*id, *name).second;
}

bool Lines::take_path(TreePath& out) {
  if (!line_->has("path")) return true;
  const auto bytes = take_bytes("path");
  if (!bytes || bytes->empty() || bytes->size() % sizeof(Hash) != 0 || bytes->size() > kPathMax * sizeof(Hash)) return false;
  out.resize(bytes->size() / sizeof(Hash));
  for (std::size_t i = 0; i < out.size(); ++i) (void)copy_exactly(ByteView(*bytes).substr(i * sizeof(Hash), sizeof(Hash)), out[i]);
  return true;
}

bool Lines::take_branch(FileLog& log) {
  log.sealed_as = log.log;
  if (!line_->has("branch_of")) return true;
  const auto after = line_->take<std::uint64_t>("branch_after");
  if (!take("sealed_as", log.sealed_as) || !take("branch_of", log.branch_of) || !after || *after >= kSeqMax) return false;
  log.branch_after = static_cast<Seq>(*after);
  return log.log != log.sealed_as && log.log != log.branch_of;
}

bool Lines::take_seal(FileLog& log) {
  Seq size = 0;
  if (!take("size", size) || !take("root", log.seal.root) || !take("signature", log.seal.signature)) return false;
  log.seal.size = size;
  if (!line_->has("seen_size")) return true;
  Seq seen = 0;
  if (!take("seen_log", log.seal.seen.log) || !take("seen_size", seen) || !take("seen_root", log.seal.seen.root)) return false;
  log.seal.seen.size = seen;
  return true;
}

bool Lines::add_log() {
  if (!is_log_complete()) return false;
  FileLog next;
  next.line = out_.lines;
  next.opening.device = out_.hub_key;
  if (!take("log", next.log) || !take("nonce", next.opening.nonce) || !take_branch(next) || !take_seal(next)) return false;
  if (line_->has("device") && !take("device", next.opening.device)) return false;
  if (line_->has("class")) {
    const auto log_class = line_->take<std::uint64_t>("class");
    if (!log_class || *log_class == 0 || *log_class > 255) return false;
    next.opening.log_class = static_cast<LogClass>(*log_class);
  }
  if (line_->has("area")) {
    const auto area = line_->take<std::string>("area");
    const auto id = area ? parse_change_id(*area) : std::nullopt;
    if (!id) return false;
    next.opening.area = *id;
  }
  if (line_->has("whole")) {
    next.whole = line_->take<bool>("whole").value_or(false);
    if (!next.whole || next.branch_of) return false;
  }
  const LogId id = next.log;
  const auto [at, is_new] = out_.logs.emplace(id, std::move(next));
  log_ = &at->second;
  return is_new;
}

bool Lines::add_reach() {
  FileReach reach;
  reach.line = out_.lines;
  if (log_ == nullptr || !log_->changes.empty() || !take("size", reach.size) || !take_path(reach.path)) return false;
  const Seq before = log_->reaches.empty() ? 0 : log_->reaches.back().size;
  if (reach.size <= before || reach.size >= log_->size() || (log_->whole && !reach.path.empty())) return false;
  log_->reaches.push_back(std::move(reach));
  return true;
}

bool Lines::add_change() {
  FileChange change;
  change.line = out_.lines;
  const auto envelope = take_bytes("envelope");
  if (log_ == nullptr || !envelope || !take("seq", change.seq) || !take_path(change.path)) return false;
  change.parts.envelope = *envelope;
  if (line_->has("commit")) {
    if (!take("commit", change.commit.emplace())) return false;
  } else {
    const auto content = take_bytes("content");
    if (!content || !take("salt", change.salt)) return false;
    change.parts.content = *content;
  }
  if (change.parts.content.size() + change.parts.envelope.size() > kChangeBytesMax) return false;
  if (change.seq > log_->size() || change.seq <= log_->branch_after) return false;
  if (log_->whole ? change.seq != reached() + 1 || !change.path.empty() : change.seq <= reached()) return false;
  log_->changes.push_back(std::move(change));
  ++changes_;
  return true;
}

bool Lines::add_end() {
  const auto lines = line_->take<std::uint64_t>("lines");
  const auto changes = line_->take<std::uint64_t>("changes");
  const auto seals = line_->take<std::uint64_t>("seals");
  has_ended_ = lines == out_.lines && changes == changes_ && seals == out_.logs.size() && is_log_complete();
  return has_ended_;
}

Status Lines::add(ByteView line) {
  ++out_.lines;
  if (line.size() > kLineBytesMax)
    return fail(ErrorCode::kTooLarge, "line " + std::to_string(out_.lines) + " of the file is over 1 MiB");
  if (has_ended_) return broken("nothing may stand there");
  line_ = JsonObject::parse(line);
  if (!line_) return broken("it is no line of an evidence file");
  const auto type = line_->take<std::string>("type");
  const auto check = line_->take<std::string>("check");
  const std::size_t body = line.rfind(kEvidenceCheckMember);
  if (!type || !check || body == ByteView::npos) return broken("it is no line of an evidence file");
  const bool is_last = *type == "end";
  const std::string wanted =
      to_hex(view(check_.step(line.substr(0, body))).substr(0, is_last ? sizeof(Hash) : kEvidenceCheckBytes));
  const bool is_as_written = line.substr(body) == Bytes(kEvidenceCheckMember) + wanted + "\"}";
  if (!is_as_written && !out_.damaged_line) out_.damaged_line = out_.lines;
  if ((out_.lines == 1) != (*type == "evidence")) return broken("it does not begin as an evidence file does");
  const bool is_read = *type == "evidence"  ? add_header()
                       : *type == "name"    ? add_name()
                       : *type == "log"     ? add_log()
                       : *type == "reach"   ? add_reach()
                       : *type == "change"  ? add_change()
                       : is_last            ? add_end()
                                            : false;
  if (!is_read || !line_->is_spent()) return broken("it says what cannot stand there");
  return {};
}

Status Lines::finish() const {
  if (has_ended_) return {};
  return fail(ErrorCode::kMalformed,
              "the file is cut short behind line " + std::to_string(out_.lines) + place());
}

}  // namespace

std::vector<const FileLog*> File::in_order() const {
  std::vector<const FileLog*> out;
  for (const auto& [id, log] : logs) out.push_back(&log);
  std::sort(out.begin(), out.end(), [](const FileLog* a, const FileLog* b) { return a->line < b->line; });
  return out;
}

Result<File> read_file(ByteView text) {
  if (text.size() > kFileBytesMax) return fail(ErrorCode::kTooLarge, "the file is over 1 GiB");
  File out;
  Lines lines(out);
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    if (end == ByteView::npos) break;  // Cut short: each line ends with one.
    WRACKLINE_TRY(lines.add(text.substr(0, end)));
    text.remove_prefix(end + 1);
  }
  if (!text.empty())
    return fail(ErrorCode::kMalformed, "line " + std::to_string(out.lines + 1) + " of the file is cut short");
  WRACKLINE_TRY(lines.finish());
  return out;
}

}  // namespace wrackline::evidence
