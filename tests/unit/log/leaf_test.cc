// log/leaf.h: a change falls into content and envelope and is put together again; a leaf binds all of it; salts follow from seeds.
#include "log/leaf.h"

#include <catch2/catch.hpp>
#include <set>

#include "base/wire.h"
#include "log/change.h"
#include "log/marks.h"
#include "support/change_world.h"
#include "support/hex.h"
#include "support/random.h"

using namespace wrackline;

namespace {

BlockSeed random_seed(Random& random) {
  BlockSeed seed{};
  REQUIRE(copy_exactly(random.bytes(seed.size()), seed));
  return seed;
}

// The definition is this: eight times one half of SHA-256(03 || node), by the bits of the index from the
// highest on.
Salt defined_salt(BlockSeed node, unsigned index) {
  for (int bit = 7; bit >= 0; --bit) {
    const Hash children = sha256(ByteView("\x03", 1), view(node));
    REQUIRE(copy_exactly(view(children).substr((index >> bit & 1) != 0 ? 16 : 0, 16), node));
  }
  return node;
}

}  // namespace

TEST_CASE("a salt is what stands eight levels below its seed, in whatever order salts are asked for", "[tree]") {
  Random random = test_random("salts");
  const BlockSeed seed = random_seed(random);
  BlockSalts in_order(seed), at_random(seed);
  std::set<Salt> all;
  for (unsigned index = 0; index < kBlockLeaves; ++index) {
    const Salt salt = in_order.at(index);
    REQUIRE(salt == defined_salt(seed, index));
    all.insert(salt);
    const auto other = static_cast<unsigned>(random.below(kBlockLeaves));
    REQUIRE(at_random.at(other) == defined_salt(seed, other));
  }
  CHECK(all.size() == kBlockLeaves);
}

TEST_CASE("content and envelope give the change again, and the leaf is that of both", "[tree]") {
  Random random = test_random("leaf parts");
  for (int round = 0; round < 50; ++round) {
    const RecordHistory history = random_history(random, 6);
    for (Bytes bytes : history.bytes) {
      if (random.once_in(3)) append_bytes_field(bytes, 9, "because it was so");
      if (random.once_in(4)) append_bytes_field(bytes, 4000, "from a newer release");
      const LeafParts parts = leaf_parts(bytes);
      REQUIRE(joined(parts) == bytes);
      Salt salt = random_seed(random);
      REQUIRE(change_leaf(salt, bytes) == leaf_of(content_commit(salt, parts.content), parts.envelope));
    }
  }
}

TEST_CASE("the content of a change is its fields and its reason, and nothing else", "[tree]") {
  Change change;
  change.stamp = Stamp{77};
  change.record = {LogId{5}, 9};
  change.record_check = 0x01020304;
  change.author = {LogId{5}, 1};
  Bytes fields;
  append_varint_field(fields, 3, 80);
  change.fields = fields;
  change.clears = {4};
  change.reason = "weighed";
  const LeafParts parts = leaf_parts(write_change(change));
  Bytes content;
  append_bytes_field(content, 6, fields);
  append_bytes_field(content, 9, "weighed");
  CHECK(to_hex(parts.content) == to_hex(content));
  const auto envelope = read_change(parts.envelope);
  REQUIRE(envelope);
  CHECK(envelope->fields.empty());
  CHECK(envelope->reason.empty());
  CHECK(envelope->record == change.record);
  CHECK(envelope->record_check == change.record_check);
}

TEST_CASE("a change with its fields in another order has another leaf", "[tree]") {
  Bytes first, second;
  append_varint_field(first, 3, 4);
  append_bytes_field(second, 6, "x");
  const Salt salt{};
  CHECK(change_leaf(salt, first + second) != change_leaf(salt, second + first));
  const LeafParts parts = leaf_parts(second + first);
  CHECK(parts.content.empty());
  CHECK(joined(parts) == second + first);
}

TEST_CASE("each bit of a change and of its salt alters the leaf", "[tree]") {
  Random random = test_random("bits of leaves");
  const RecordHistory history = random_history(random, 3);
  const Bytes& bytes = history.bytes.back();
  Salt salt = random_seed(random);
  const Hash leaf = change_leaf(salt, bytes);
  for (std::size_t bit = 0; bit < bytes.size() * 8; ++bit) {
    Bytes altered = bytes;
    altered[bit / 8] = static_cast<char>(altered[bit / 8] ^ (1 << bit % 8));
    REQUIRE(change_leaf(salt, altered) != leaf);
  }
  for (std::size_t bit = 0; bit < salt.size() * 8; ++bit) {
    Salt altered = salt;
    altered[bit / 8] ^= static_cast<unsigned char>(1 << bit % 8);
    REQUIRE(change_leaf(altered, bytes) != leaf);
  }
}

TEST_CASE("a walk gives the same tree in one go and in pieces, and tells each block once", "[tree]") {
  Random random = test_random("walks");
  std::vector<Bytes> changes;
  while (changes.size() < 700) {
    const RecordHistory history = random_history(random, 8);
    changes.insert(changes.end(), history.bytes.begin(), history.bytes.end());
  }
  std::map<std::uint32_t, BlockSeed> seeds;
  for (std::uint32_t block = 0; block <= block_of(changes.size() - 1); ++block) seeds[block] = random_seed(random);
  TreeWalk whole;
  Frontier by_leaves;
  for (std::size_t i = 0; i < changes.size(); ++i) {
    if (whole.needs_seed()) whole.give_seed(block_of(i), seeds[block_of(i)]);
    whole.step(changes[i]);
    by_leaves.append(whole.last_leaf());
    REQUIRE(ByteView(whole.marks()).substr(i * kMarkBytes, kMarkBytes) == mark_of(whole.last_leaf()));
  }
  CHECK(whole.tree() == by_leaves);
  const std::vector<TreeWalk::Block> blocks = whole.take_blocks();
  CHECK(blocks.size() == seeds.size());
  Frontier tree;
  std::size_t at = 0;
  std::map<std::uint32_t, Hash> roots;
  while (at < changes.size()) {
    TreeWalk piece(tree);
    const std::size_t end = std::min<std::size_t>(changes.size(), at + 1 + random.below(300));
    for (; at < end; ++at) {
      if (piece.needs_seed()) piece.give_seed(block_of(at), seeds[block_of(at)], at % kBlockLeaves != 0);
      piece.step(changes[at]);
    }
    for (const TreeWalk::Block& block : piece.take_blocks()) {
      if (block.root) roots[block.number] = *block.root;
    }
    tree = piece.tree();
  }
  CHECK(tree == whole.tree());
  for (const TreeWalk::Block& block : blocks) {
    if (block.root) CHECK(roots.at(block.number) == *block.root);
  }
}
