#include "log/seal.h"

namespace wrackline {
namespace {

void append_opening(Bytes& text, const LogOpening& opening) {
  text.push_back(static_cast<char>(opening.log_class));
  append_le(text, opening.area.log.value, 8);
  append_le(text, opening.area.seq, 4);
}

// Takes values of fixed size off the front of bytes; what is cut short makes all that follows empty.
class FixedReader {
 public:
  explicit FixedReader(ByteView rest) : rest_(rest) {}
  std::uint64_t number(std::size_t size) { return load_le(take(size)); }
  template <std::size_t N>
  void array(std::array<unsigned char, N>& out) {
    ok_ = copy_exactly(take(N), out) && ok_;
  }
  bool ok() const { return ok_; }
  bool at_end() const { return rest_.empty(); }

 private:
  ByteView take(std::size_t size) {
    ok_ = ok_ && rest_.size() >= size;
    const ByteView out = rest_.substr(0, size);
    rest_.remove_prefix(out.size());
    return out;
  }
  ByteView rest_;
  bool ok_ = true;
};

constexpr std::size_t kPathMax = 64;  // Hashes in one step: no tree needs more.

}  // namespace

Bytes to_bytes(const LogOpening& opening) {
  Bytes out(view(opening.device));
  append_opening(out, opening);
  out += view(opening.nonce);
  return out;
}

std::optional<LogOpening> read_opening(ByteView bytes) {
  LogOpening out;
  FixedReader reader(bytes);
  reader.array(out.device);
  out.log_class = static_cast<LogClass>(reader.number(1));
  out.area.log.value = reader.number(8);
  out.area.seq = static_cast<Seq>(reader.number(4));
  reader.array(out.nonce);
  return reader.ok() && reader.at_end() ? std::optional<LogOpening>(out) : std::nullopt;
}

LogId log_id(const FacilityId& facility, const LogOpening& opening) {
  return LogId{first8(sha256("wrackline/log/2", view(facility), to_bytes(opening)))};
}

Bytes seal_text(const FacilityId& facility, LogId log, const LogOpening& opening, const LogSeal& seal) {
  Bytes text = "wrackline/seal/2";
  text += view(facility);
  append_le(text, log.value, 8);
  append_opening(text, opening);
  append_le(text, seal.size, 8);
  text += view(seal.root);
  append_le(text, seal.seen.log.value, 8);
  append_le(text, seal.seen.size, 8);
  text += view(seal.seen.root);
  // The id of such a log does not follow from its device, and the hub may seal it: nothing else binds the two.
  if (opening.log_class == LogClass::kFormer) text += view(opening.device);
  return text;
}

bool covers(const LogSeal& seal, const Frontier& tree) {
  if (seal.steps.size() > kSealStepsMax) return false;
  std::uint64_t size = tree.size();
  Hash root = tree.root();
  for (const ConsistencyStep& step : seal.steps) {
    if (!shows_consistency(size, root, step.size, step.root, step.path)) return false;
    size = step.size;
    root = step.root;
  }
  return size == seal.size && root == seal.root;
}

Bytes to_bytes(const LogSeal& seal) {
  Bytes out;
  append_le(out, seal.size, 8);
  out += view(seal.root);
  append_le(out, seal.seen.log.value, 8);
  append_le(out, seal.seen.size, 8);
  out += view(seal.seen.root);
  out += view(seal.signature);
  for (const ConsistencyStep& step : seal.steps) {
    append_le(out, step.size, 8);
    out += view(step.root);
    append_le(out, step.path.size(), 2);
    for (const Hash& hash : step.path) out += view(hash);
  }
  return out;
}

std::optional<LogSeal> read_seal(ByteView bytes) {
  LogSeal out;
  FixedReader reader(bytes);
  out.size = reader.number(8);
  reader.array(out.root);
  out.seen.log.value = reader.number(8);
  out.seen.size = reader.number(8);
  reader.array(out.seen.root);
  reader.array(out.signature);
  while (reader.ok() && !reader.at_end()) {
    if (out.steps.size() == kSealStepsMax) return std::nullopt;
    ConsistencyStep& step = out.steps.emplace_back();
    step.size = reader.number(8);
    reader.array(step.root);
    const std::uint64_t hashes = reader.number(2);
    if (hashes > kPathMax) return std::nullopt;
    step.path.resize(static_cast<std::size_t>(hashes));
    for (Hash& hash : step.path) reader.array(hash);
  }
  return reader.ok() ? std::optional<LogSeal>(std::move(out)) : std::nullopt;
}

}  // namespace wrackline
