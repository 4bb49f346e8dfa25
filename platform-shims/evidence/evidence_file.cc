#include "evidence_file.h"

#include "base/base64.h"
#include "json_object.h"
#include "log/change.h"
#include "log/evidence_lines.h"
#include "log/marks.h"

namespace wrackline::evidence {
namespace {

constexpr std::size_t kNamesMax = 100'000;

std::optional<Bytes> from_hex(std::string_view text) {
  const auto value = [](char c) {
    return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
  };
  if (text.size() % 2 != 0) return std::nullopt;
  Bytes out;
  for (std::size_t i = 0; i < text.size(); i += 2) {
    const int high = value(text[i]), low = value(text[i + 1]);
    if (high < 0 || low < 0) return std::nullopt;
    out.push_back(static_cast<char>(high << 4 | low));
  }
  return out;
}

class Lines {
 public:
  explicit Lines(File& out) : out_(out) {}
  Status add(ByteView line);
  Status finish() const;

 private:
  // What stands at the place, for a line that cannot be read.
  std::string place() const;
  Unexpected broken(const std::string& what) const {
    return fail(ErrorCode::kMalformed, "line " + std::to_string(out_.lines) + " of the file" + place() +
                                           ": " + what + ": altered or damaged");
  }
  template <std::size_t N>
  bool take(const char* name, std::array<unsigned char, N>& out) {
    const auto text = line_->take<std::string>(name);
    const auto bytes = text ? from_hex(*text) : std::nullopt;
    return bytes && copy_exactly(*bytes, out);
  }
  bool take(const char* name, LogId& out) {
    std::array<unsigned char, 8> bytes{};
    if (!take(name, bytes)) return false;
    out = {};
    for (const unsigned char b : bytes) out.value = out.value << 8 | b;
    return static_cast<bool>(out);
  }
  bool take(const char* name, Seq& out) {
    const auto number = line_->take<std::uint64_t>(name);
    if (!number || *number == 0 || *number > kSeqMax) return false;
    out = static_cast<Seq>(*number);
    return true;
  }
  bool add_header();
  bool add_name();
  bool add_part();
  bool add_change();
  bool add_seal();
  bool add_receipt();
  bool add_end();
  FilePart* part() { return out_.parts.empty() ? nullptr : &out_.parts.back(); }
  // Of the part under way, the last change that is here; 0 before its first.
  Seq reached() const {
    const FilePart& part = out_.parts.back();
    return part.changes.empty() ? 0 : part.changes.back().seq;
  }
  bool is_part_complete() const {
    return out_.parts.empty() || (reached() == out_.parts.back().last && !out_.parts.back().seals.empty() &&
                                  out_.parts.back().seals.back().seq == out_.parts.back().last);
  }

  File& out_;
  std::optional<JsonObject> line_;
  EvidenceCheck check_;
  std::uint64_t changes_ = 0, seals_ = 0, receipts_ = 0;
  bool has_ended_ = false;
};

std::string Lines::place() const {
  if (out_.lines == 1) return ", which says what it is";
  if (has_ended_) return ", behind its end";
  if (out_.parts.empty()) return "";
  const FilePart& part = out_.parts.back();
  const Seq at = part.changes.empty() ? part.first : reached() + 1;
  if (at > part.last) return ", behind log " + to_text(part.log) + ", change " + std::to_string(part.last);
  return ", where log " + to_text(part.log) + ", change " + std::to_string(at) +
         " or a seal or receipt before it stands";
}

bool Lines::add_header() {
  const auto version = line_->take<std::uint64_t>("version");
  const auto written = line_->take<std::uint64_t>("written_ms");
  const auto whole = line_->take<bool>("whole");
  const auto records = line_->take<std::vector<std::string>>("records");
  if (!version || !written || !whole || !records || records->empty()) return false;
  out_.written_ms = *written;
  out_.whole = *whole;
  for (const std::string& text : *records) {
    const auto record = parse_change_id(text);
    if (!record) return false;
    out_.records.push_back(*record);
  }
  return *version == kEvidenceVersion && take("facility", out_.facility) && take("hub_key", out_.hub_key);
}

bool Lines::add_name() {
  const auto record = line_->take<std::string>("record");
  const auto name = line_->take<std::string>("name");
  const auto id = record ? parse_change_id(*record) : std::nullopt;
  return id && name && out_.parts.empty() && out_.names.size() < kNamesMax &&
         out_.names.emplace(*id, *name).second;
}

bool Lines::add_part() {
  if (!is_part_complete()) return false;
  FilePart next;
  next.line = out_.lines;
  const bool is_branch = line_->has("branch_of");
  if (!take("log", next.log) || !take("sealed_as", next.sealed_as) || !take("device", next.device) ||
      !take("before", next.before) || !take("first", next.first) || !take("last", next.last) ||
      next.first > next.last) {
    return false;
  }
  if (is_branch) {
    const auto after = line_->take<std::uint64_t>("branch_after");
    if (!take("branch_of", next.branch_of) || !after || *after >= next.first) return false;
    next.branch_after = static_cast<Seq>(*after);
  }
  if (is_branch == (next.log == next.sealed_as)) return false;
  out_.parts.push_back(std::move(next));
  return true;
}

bool Lines::add_change() {
  FileChange change;
  change.line = out_.lines;
  const auto text = line_->take<std::string>("bytes");
  const auto bytes = text ? from_base64(*text) : std::nullopt;
  const auto mark_text = line_->take<std::string>("mark");
  const auto mark = mark_text ? from_hex(*mark_text) : std::nullopt;
  if (part() == nullptr || !bytes || bytes->empty() || bytes->size() > kChangeBytesMax || !mark ||
      mark->size() != kMarkBytes || !take("seq", change.seq)) {
    return false;
  }
  if (change.seq != (part()->changes.empty() ? part()->first : reached() + 1) || change.seq > part()->last)
    return false;
  change.bytes = *bytes;
  change.mark = *mark;
  part()->changes.push_back(std::move(change));
  ++changes_;
  return true;
}

bool Lines::add_seal() {
  FileSeal seal;
  seal.line = out_.lines;
  if (part() == nullptr || !take("seq", seal.seq) || !take("hash", seal.hash) ||
      !take("signature", seal.signature))
    return false;
  const bool is_new = part()->seals.empty() || part()->seals.back().seq < seal.seq;
  if (seal.seq != reached() || !is_new) return false;
  part()->seals.push_back(seal);
  ++seals_;
  return true;
}

bool Lines::add_receipt() {
  FileReceipt receipt;
  receipt.line = out_.lines;
  const auto held = line_->take<std::uint64_t>("held_ms");
  if (part() == nullptr || !held || !take("seq", receipt.seq) || !take("signature", receipt.signature))
    return false;
  receipt.held_ms = *held;
  const bool is_new = part()->receipts.empty() || part()->receipts.back().seq < receipt.seq;
  if (receipt.seq != reached() || !is_new) return false;
  part()->receipts.push_back(receipt);
  ++receipts_;
  return true;
}

bool Lines::add_end() {
  const auto lines = line_->take<std::uint64_t>("lines");
  const auto changes = line_->take<std::uint64_t>("changes");
  const auto seals = line_->take<std::uint64_t>("seals");
  const auto receipts = line_->take<std::uint64_t>("receipts");
  has_ended_ = lines == out_.lines && changes == changes_ && seals == seals_ && receipts == receipts_ &&
               is_part_complete();
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
                       : *type == "log"     ? add_part()
                       : *type == "change"  ? add_change()
                       : *type == "seal"    ? add_seal()
                       : *type == "receipt" ? add_receipt()
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
