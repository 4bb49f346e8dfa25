#include "log/leaf.h"

#include <algorithm>
#include <utility>

#include "base/wire.h"
#include "log/marks.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kFieldsField = 6, kReasonField = 9;

// A change whose fields stand in the order of their numbers, where it falls into content and envelope.
struct Pieces {
  ByteView before, fields, between, reason, after;
};

// None when its fields stand in another order, or cannot be read.
std::optional<Pieces> pieces_of(ByteView change) {
  // Where each of these ends: `before`, `fields`, `between` and `reason`.
  std::size_t ends[4] = {0, 0, 0, 0};
  WireReader reader(change);
  WireField field;
  std::uint32_t number_before = 0;
  std::size_t at = 0;
  while (reader.next(field)) {
    if (field.number < number_before) return std::nullopt;
    number_before = field.number;
    at += field.slice.size();
    if (field.number < kFieldsField) ends[0] = at;
    if (field.number <= kFieldsField) ends[1] = at;
    if (field.number < kReasonField) ends[2] = at;
    if (field.number <= kReasonField) ends[3] = at;
  }
  if (!reader.ok()) return std::nullopt;
  const auto part = [&](std::size_t from, std::size_t to) { return change.substr(from, to - from); };
  return Pieces{part(0, ends[0]), part(ends[0], ends[1]), part(ends[1], ends[2]), part(ends[2], ends[3]), change.substr(ends[3])};
}

BlockSeed half_of(const Hash& children, bool is_right) {
  BlockSeed out;
  (void)copy_exactly(view(children).substr(is_right ? out.size() : 0, out.size()), out);
  return out;
}

}  // namespace

Salt BlockSalts::at(unsigned index) {
  unsigned level = 0;
  // The nodes are known as far as the way is the same as the last one.
  if (last_) {
    while (level < kLevels && (index >> (kLevels - level)) == (*last_ >> (kLevels - level))) ++level;
  }
  for (unsigned at = level; at < kLevels; ++at) {
    const BlockSeed node = at == 0 ? seed_ : half_of(children_[at - 1], (index >> (kLevels - at) & 1) != 0);
    children_[at] = sha256(ByteView("\x03", 1), view(node));
  }
  last_ = index;
  return half_of(children_[kLevels - 1], (index & 1) != 0);
}

LeafParts leaf_parts(ByteView change) {
  const auto pieces = pieces_of(change);
  if (!pieces) return {Bytes(), Bytes(change)};
  LeafParts out;
  out.content.append(pieces->fields).append(pieces->reason);
  out.envelope.append(pieces->before).append(pieces->between).append(pieces->after);
  return out;
}

Bytes joined(const LeafParts& parts) {
  if (parts.content.empty()) return parts.envelope;
  Bytes out;
  WireReader envelope(parts.envelope), content(parts.content);
  WireField outer, inner;
  bool has_outer = envelope.next(outer), has_inner = content.next(inner);
  while (has_outer || has_inner) {
    const bool takes_outer = has_outer && (!has_inner || outer.number < inner.number);
    out += takes_outer ? outer.slice : inner.slice;
    if (takes_outer) {
      has_outer = envelope.next(outer);
    } else {
      has_inner = content.next(inner);
    }
  }
  return out;
}

Hash content_commit(const Salt& salt, ByteView content) { return sha256(ByteView("\x02", 1), view(salt), content); }

Hash leaf_of(const Hash& commit, ByteView envelope) { return sha256(ByteView("\x00", 1), view(commit), envelope); }

Hash change_leaf(const Salt& salt, ByteView change) {
  const auto pieces = pieces_of(change);
  if (!pieces) return leaf_of(content_commit(salt, {}), change);
  std::array<char, 1 + sizeof(Salt)> salted;
  std::array<char, 1 + sizeof(Hash)> committed;
  salted[0] = 2;
  std::copy(salt.begin(), salt.end(), salted.begin() + 1);
  const Hash commit = sha256({salted.data(), salted.size()}, pieces->fields, pieces->reason);
  committed[0] = 0;
  std::copy(commit.begin(), commit.end(), committed.begin() + 1);
  return sha256({committed.data(), committed.size()}, pieces->before, pieces->between, pieces->after);
}

void TreeWalk::step(ByteView change) {
  const std::uint64_t leaf = tree_.size();
  const std::uint32_t block = block_of(leaf);
  if (!salts_ || salts_of_ != block) {
    salts_ = BlockSalts(seeds_.at(block));
    salts_of_ = block;
  }
  last_leaf_ = change_leaf(salts_->at(static_cast<unsigned>(leaf % kBlockLeaves)), change);
  const std::optional<Hash> root = tree_.append(last_leaf_);
  const bool is_begun = kept_.insert(block).second;
  if (is_begun || (root && (blocks_.empty() || blocks_.back().number != block))) blocks_.push_back({block, seeds_.at(block), {}});
  if (root) blocks_.back().root = root;
  marks_ += mark_of(last_leaf_);
}

Bytes TreeWalk::take_marks() { return std::exchange(marks_, {}); }
std::vector<TreeWalk::Block> TreeWalk::take_blocks() { return std::exchange(blocks_, {}); }

}  // namespace wrackline
