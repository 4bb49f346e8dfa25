// A change as a leaf of its log's tree, in two parts, so that one can go without the other.
//
//   content  = the fields `fields` and `reason` of proto/change.proto as they are stored, in order
//   envelope = all other stored bytes, in order
//   commit   = SHA-256(02 || salt || content)
//   leaf     = SHA-256(00 || commit || envelope)
//
// Whoever holds the envelope and the commit can check the tree; the salt keeps them from guessing the content. Salts come
// from a seed for each block of 256 leaves, 16 random bytes that the author's device draws:
//
//   children(s) = both halves of SHA-256(03 || s)      salt(i) = what stands 8 levels below the seed, by the bits of i
//
// Fields stand in the order of their numbers, so content and envelope say together which bytes the change has. A change that
// is written otherwise has no content of its own: all of it is envelope.
//
// Pure. Threads: any, on objects of their own.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <vector>

#include "base/bytes.h"
#include "crypto/sha256.h"
#include "log/merkle_tree.h"

namespace wrackline {

using BlockSeed = std::array<unsigned char, 16>;
using Salt = std::array<unsigned char, 16>;

// The block in which a leaf stands; leaves count from 0, so the change with seq n is leaf n - 1.
inline std::uint32_t block_of(std::uint64_t leaf) { return static_cast<std::uint32_t>(leaf / kBlockLeaves); }

// The salts of one block. Asked in their order they cost one hash each, otherwise up to eight.
class BlockSalts {
 public:
  explicit BlockSalts(const BlockSeed& seed) : seed_(seed) {}
  // `index` is that of the leaf in its block, below kBlockLeaves.
  Salt at(unsigned index);

 private:
  static constexpr unsigned kLevels = 8;
  BlockSeed seed_;
  std::array<Hash, kLevels> children_{};  // Below the node on the way to the last index, level by level.
  std::optional<unsigned> last_;
};

struct LeafParts {
  Bytes content;
  Bytes envelope;
};
LeafParts leaf_parts(ByteView change);
// The change again; what leaf_parts() parted.
Bytes joined(const LeafParts& parts);

Hash content_commit(const Salt& salt, ByteView content);
Hash leaf_of(const Hash& commit, ByteView envelope);
Hash change_leaf(const Salt& salt, ByteView change);

// A tree on its way over changes that follow each other.
class TreeWalk {
 public:
  // A block that the walk began or completed.
  struct Block {
    std::uint32_t number = 0;
    BlockSeed seed{};
    std::optional<Hash> root;  // When the walk completed it.
  };

  TreeWalk() = default;
  explicit TreeWalk(Frontier tree) : tree_(std::move(tree)) {}

  // Whether the next change needs a seed that the walk has not been given.
  bool needs_seed() const { return seeds_.find(block_of(tree_.size())) == seeds_.end(); }
  // The first seed that is given for a block counts. `is_kept`: it need not be among blocks().
  void give_seed(std::uint32_t block, const BlockSeed& seed, bool is_kept = false) {
    if (seeds_.emplace(block, seed).second && is_kept) kept_.insert(block);
  }
  // Takes the next change. Its seed must be there.
  void step(ByteView change);

  const Frontier& tree() const { return tree_; }
  // See log/marks.h: of all changes since take_marks().
  const Bytes& marks() const { return marks_; }
  Bytes take_marks();
  std::vector<Block> take_blocks();
  const Hash& last_leaf() const { return last_leaf_; }

 private:
  Frontier tree_;
  std::map<std::uint32_t, BlockSeed> seeds_;
  std::set<std::uint32_t> kept_;
  std::optional<BlockSalts> salts_;
  std::uint32_t salts_of_ = 0;
  std::vector<Block> blocks_;
  Bytes marks_;
  Hash last_leaf_{};
};

}  // namespace wrackline
