#include "log/merkle_tree.h"

namespace wrackline {
namespace {

bool is_power_of_two(std::uint64_t n) { return n != 0 && (n & (n - 1)) == 0; }

int bits_set(std::uint64_t n) {
  int bits = 0;
  for (; n != 0; n &= n - 1) ++bits;
  return bits;
}

// The largest power of two that is not above n, for n > 0.
std::uint64_t largest_power(std::uint64_t n) {
  std::uint64_t k = 1;
  while (k <= n >> 1) k <<= 1;
  return k;
}

// The largest power of two below n, for n > 1: where RFC 9162 parts a tree.
std::uint64_t left_part(std::uint64_t n) { return largest_power(n - 1); }

Result<Hash> range_root(std::uint64_t first, std::uint64_t count, const SubtreeRoot& subtree) {
  if (is_power_of_two(count)) return subtree(first, count);
  const std::uint64_t k = left_part(count);
  WRACKLINE_TRY_VALUE(left, subtree(first, k));
  WRACKLINE_TRY_VALUE(right, range_root(first + k, count - k, subtree));
  return tree_node(left, right);
}

// PATH of RFC 9162, 2.1.3.1, over the leaves from `first`.
Status add_inclusion(std::uint64_t index, std::uint64_t first, std::uint64_t count, const SubtreeRoot& subtree, TreePath& out) {
  if (count == 1) return {};
  const std::uint64_t k = left_part(count);
  const bool is_left = index < k;
  WRACKLINE_TRY(is_left ? add_inclusion(index, first, k, subtree, out)
                        : add_inclusion(index - k, first + k, count - k, subtree, out));
  WRACKLINE_TRY_VALUE(other, is_left ? range_root(first + k, count - k, subtree) : range_root(first, k, subtree));
  out.push_back(other);
  return {};
}

// SUBPROOF of RFC 9162, 2.1.4.1, over the leaves from `first`.
Status add_consistency(std::uint64_t older, std::uint64_t first, std::uint64_t count, bool is_whole, const SubtreeRoot& subtree,
                       TreePath& out) {
  if (older == count) {
    if (is_whole) return {};
    WRACKLINE_TRY_VALUE(own, range_root(first, count, subtree));
    out.push_back(own);
    return {};
  }
  const std::uint64_t k = left_part(count);
  const bool is_left = older <= k;
  WRACKLINE_TRY(is_left ? add_consistency(older, first, k, is_whole, subtree, out)
                        : add_consistency(older - k, first + k, count - k, false, subtree, out));
  WRACKLINE_TRY_VALUE(other, is_left ? range_root(first + k, count - k, subtree) : range_root(first, k, subtree));
  out.push_back(other);
  return {};
}

}  // namespace

Hash tree_leaf(ByteView bytes) { return sha256(ByteView("\x00", 1), bytes); }
Hash tree_node(const Hash& left, const Hash& right) { return sha256(ByteView("\x01", 1), view(left), view(right)); }

std::optional<Hash> Frontier::append(const Hash& leaf) {
  std::optional<Hash> block;
  Hash root = leaf;
  std::uint64_t leaves = 1;
  for (std::uint64_t left = size_; (left & 1) != 0; left >>= 1) {
    root = tree_node(hashes_.back(), root);
    hashes_.pop_back();
    leaves <<= 1;
    if (leaves == kBlockLeaves) block = root;
  }
  hashes_.push_back(root);
  ++size_;
  return block;
}

Hash Frontier::root() const {
  if (hashes_.empty()) return sha256({});
  Hash root = hashes_.back();
  for (auto left = hashes_.rbegin() + 1; left != hashes_.rend(); ++left) root = tree_node(*left, root);
  return root;
}

std::optional<Hash> Frontier::subtree(std::uint64_t first, std::uint64_t count) const {
  std::uint64_t at = 0;
  for (const Hash& hash : hashes_) {
    const std::uint64_t leaves = largest_power(size_ - at);
    if (at == first && leaves == count) return hash;
    at += leaves;
  }
  return std::nullopt;
}

Bytes Frontier::bytes() const {
  Bytes out;
  out.reserve(hashes_.size() * sizeof(Hash));
  for (const Hash& hash : hashes_) out += view(hash);
  return out;
}

std::optional<Frontier> Frontier::read(std::uint64_t size, ByteView bytes) {
  Frontier out;
  out.size_ = size;
  out.hashes_.resize(static_cast<std::size_t>(bits_set(size)));
  if (bytes.size() != out.hashes_.size() * sizeof(Hash)) return std::nullopt;
  for (Hash& hash : out.hashes_) {
    (void)copy_exactly(bytes.substr(0, sizeof(Hash)), hash);
    bytes.remove_prefix(sizeof(Hash));
  }
  return out;
}

Bytes Frontier::sized_bytes() const {
  Bytes out;
  append_le(out, size_, 8);
  return out + bytes();
}

std::optional<Frontier> Frontier::read_sized(ByteView bytes) {
  return bytes.size() < 8 ? std::nullopt : read(load_le(bytes.substr(0, 8)), bytes.substr(8));
}

Result<TreePath> inclusion_path(std::uint64_t index, std::uint64_t size, const SubtreeRoot& subtree) {
  TreePath out;
  WRACKLINE_TRY(add_inclusion(index, 0, size, subtree, out));
  return out;
}

Result<TreePath> consistency_path(std::uint64_t older, std::uint64_t newer, const SubtreeRoot& subtree) {
  TreePath out;
  WRACKLINE_TRY(add_consistency(older, 0, newer, true, subtree, out));
  return out;
}

// RFC 9162, 2.1.4.2.
bool shows_consistency(std::uint64_t older, const Hash& older_root, std::uint64_t newer, const Hash& newer_root,
                       const TreePath& path) {
  if (older == 0 || older > newer) return false;
  if (older == newer) return path.empty() && older_root == newer_root;
  if (path.empty()) return false;
  auto at = path.begin();
  std::uint64_t fn = older - 1, sn = newer - 1;
  while ((fn & 1) != 0) fn >>= 1, sn >>= 1;
  Hash from_older = is_power_of_two(older) ? older_root : *at++;
  Hash from_newer = from_older;
  for (; at != path.end(); ++at) {
    if (sn == 0) return false;
    if ((fn & 1) != 0 || fn == sn) {
      from_older = tree_node(*at, from_older);
      from_newer = tree_node(*at, from_newer);
      while ((fn & 1) == 0 && fn != 0) fn >>= 1, sn >>= 1;
    } else {
      from_newer = tree_node(from_newer, *at);
    }
    fn >>= 1;
    sn >>= 1;
  }
  return sn == 0 && from_older == older_root && from_newer == newer_root;
}

}  // namespace wrackline
