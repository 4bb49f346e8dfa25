// A log as a Merkle tree: RFC 9162, section 2.1, over SHA-256.
//
//   leaf = SHA-256(00 || bytes)      node = SHA-256(01 || left || right)      an empty tree is SHA-256 of nothing
//
// A tree of n leaves is the beginning of every longer tree of the same log, and both that (consistency) and that one leaf
// stands in it (inclusion) are shown by a few hashes, without the other leaves.
//
// Pure. Threads: any, on objects of their own.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "base/bytes.h"
#include "base/result.h"
#include "crypto/sha256.h"

namespace wrackline {

Hash tree_leaf(ByteView bytes);
Hash tree_node(const Hash& left, const Hash& right);

// Leaves that share one block: the smallest part of a tree that is kept by its hash alone.
inline constexpr std::uint64_t kBlockLeaves = 256;

// The right edge of a tree: the roots of the perfect subtrees it falls into, the largest first. It is all that is needed
// to append, and one hash for each bit that is set in the size.
class Frontier {
 public:
  std::uint64_t size() const { return size_; }
  // Gives the root of the block that this leaf completes; none when it completes none.
  std::optional<Hash> append(const Hash& leaf);
  Hash root() const;
  // The root over leaves first, ..., first + count - 1; none when it is not one of those that are kept.
  std::optional<Hash> subtree(std::uint64_t first, std::uint64_t count) const;

  // The hashes in their order, 32 bytes each; the size is kept apart.
  Bytes bytes() const;
  // None when `bytes` are not the hashes of a tree of that size.
  static std::optional<Frontier> read(std::uint64_t size, ByteView bytes);
  // The size before the hashes, 8 bytes; and back.
  Bytes sized_bytes() const;
  static std::optional<Frontier> read_sized(ByteView bytes);

  friend bool operator==(const Frontier& a, const Frontier& b) { return a.size_ == b.size_ && a.hashes_ == b.hashes_; }
  friend bool operator!=(const Frontier& a, const Frontier& b) { return !(a == b); }

 private:
  std::uint64_t size_ = 0;
  std::vector<Hash> hashes_;
};

using TreePath = std::vector<Hash>;

// Gives the root over the leaves first, first + 1, ..., first + count - 1, counted from 0; `count` is a power of two and
// `first` a multiple of it.
using SubtreeRoot = std::function<Result<Hash>(std::uint64_t first, std::uint64_t count)>;

// Both fail only as `subtree` does. `index` counts from 0 and is less than `size`; 0 < older <= newer.
Result<TreePath> inclusion_path(std::uint64_t index, std::uint64_t size, const SubtreeRoot& subtree);
Result<TreePath> consistency_path(std::uint64_t older, std::uint64_t newer, const SubtreeRoot& subtree);

// Whether the path shows that the tree of `older` leaves is the beginning of the one of `newer` leaves.
bool shows_consistency(std::uint64_t older, const Hash& older_root, std::uint64_t newer, const Hash& newer_root,
                       const TreePath& path);

}  // namespace wrackline
