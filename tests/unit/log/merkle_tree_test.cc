// log/merkle_tree.h: roots, inclusion and consistency as RFC 9162, section 2.1, defines them.
//
// The eight leaves and the roots over the first of them are those of the known-answer test that implementations of RFC 6962 and
// RFC 9162 share (from memory; each root is also computed here by the RFC's definition, word for word).
#include "log/known_tree.h"
#include "log/merkle_tree.h"

#include <catch2/catch.hpp>

#include "support/hex.h"
#include "support/must.h"
#include "support/random.h"

using namespace wrackline;

namespace {

const std::vector<Bytes> kLeaves = {Bytes(),
                                    Bytes("\x00", 1),
                                    Bytes("\x10", 1),
                                    "\x20\x21",
                                    "\x30\x31",
                                    "\x40\x41\x42\x43",
                                    "\x50\x51\x52\x53\x54\x55\x56\x57",
                                    "\x60\x61\x62\x63\x64\x65\x66\x67\x68\x69\x6a\x6b\x6c\x6d\x6e\x6f"};
const std::vector<std::string> kRoots = {"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
                                         "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
                                         "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
                                         "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
                                         "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
                                         "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
                                         "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
                                         "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328"};

// MTH of RFC 9162, 2.1.1.
Hash defined_root(const std::vector<Hash>& leaves, std::size_t first, std::size_t count) {
  if (count == 0) return sha256({});
  if (count == 1) return leaves[first];
  std::size_t k = 1;
  while (k * 2 < count) k *= 2;
  return sha256(ByteView("\x01", 1), view(defined_root(leaves, first, k)), view(defined_root(leaves, first + k, count - k)));
}

std::vector<Hash> random_leaves(Random& random, std::size_t count) {
  std::vector<Hash> out;
  for (std::size_t i = 0; i < count; ++i) out.push_back(tree_leaf(random.bytes(8 + random.below(40))));
  return out;
}

SubtreeRoot subtrees_of(const std::vector<Hash>& leaves) {
  return [&leaves](std::uint64_t first, std::uint64_t count) -> Result<Hash> {
    REQUIRE(first % count == 0);
    return defined_root(leaves, static_cast<std::size_t>(first), static_cast<std::size_t>(count));
  };
}

}  // namespace

TEST_CASE("the roots of the known leaves are the known roots", "[tree]") {
  Frontier tree;
  CHECK(to_hex(view(tree.root())) == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  for (std::size_t i = 0; i < kLeaves.size(); ++i) {
    tree.append(tree_leaf(kLeaves[i]));
    CHECK(to_hex(view(tree.root())) == kRoots[i]);
  }
}

TEST_CASE("a right edge gives the defined root at every size, also after it was written and read", "[tree]") {
  Random random = test_random("right edges");
  const std::vector<Hash> leaves = random_leaves(random, 600);
  Frontier tree;
  for (std::size_t i = 0; i < leaves.size(); ++i) {
    const auto block = tree.append(leaves[i]);
    CHECK(block.has_value() == ((i + 1) % kBlockLeaves == 0));
    if (block) CHECK(*block == defined_root(leaves, i + 1 - kBlockLeaves, kBlockLeaves));
    if (i % 7 == 0) {
      const auto read = Frontier::read(tree.size(), tree.bytes());
      REQUIRE(read);
      REQUIRE(*read == tree);
      CHECK(tree.root() == defined_root(leaves, 0, i + 1));
    }
  }
  CHECK_FALSE(Frontier::read(tree.size(), tree.bytes() + "x"));
  CHECK_FALSE(Frontier::read(tree.size() + 1, tree.bytes()));
}

TEST_CASE("inclusion holds for each leaf of each tree up to 40, and for nothing else", "[tree]") {
  Random random = test_random("inclusion");
  const std::vector<Hash> leaves = random_leaves(random, 40);
  for (std::size_t size = 1; size <= leaves.size(); ++size) {
    const Hash root = defined_root(leaves, 0, size);
    const auto leads = [&](const Hash& leaf, std::uint64_t index, const TreePath& path) { return KnownTree(size, root).learn({index, 1}, leaf, path); };
    for (std::size_t index = 0; index < size; ++index) {
      const TreePath path = must(inclusion_path(index, size, subtrees_of(leaves)));
      REQUIRE(leads(leaves[index], index, path));
      for (std::size_t other = 0; other < size; ++other) {
        if (other != index) REQUIRE_FALSE(leads(leaves[other], index, path));
        if (other != index) REQUIRE_FALSE(leads(leaves[index], other, path));
      }
      if (!path.empty()) {
        TreePath altered = path;
        altered[random.below(altered.size())][random.below(32)] ^= 1;
        REQUIRE_FALSE(leads(leaves[index], index, altered));
        altered = path;
        altered.pop_back();
        REQUIRE_FALSE(leads(leaves[index], index, altered));
      }
      TreePath longer = path;
      longer.push_back(root);
      REQUIRE_FALSE(leads(leaves[index], index, longer));
    }
    REQUIRE_FALSE(leads(leaves[0], size, {}));
  }
}

TEST_CASE("consistency holds between each two trees up to 40 of one log, and between no others", "[tree]") {
  Random random = test_random("consistency");
  const std::vector<Hash> leaves = random_leaves(random, 40);
  std::vector<Hash> other_leaves = leaves;
  for (std::size_t newer = 1; newer <= leaves.size(); ++newer) {
    const Hash newer_root = defined_root(leaves, 0, newer);
    for (std::size_t older = 1; older <= newer; ++older) {
      const Hash older_root = defined_root(leaves, 0, older);
      const TreePath path = must(consistency_path(older, newer, subtrees_of(leaves)));
      REQUIRE(shows_consistency(older, older_root, newer, newer_root, path));
      Hash wrong = older_root;
      wrong[3] ^= 4;
      REQUIRE_FALSE(shows_consistency(older, wrong, newer, newer_root, path));
      REQUIRE_FALSE(shows_consistency(older, older_root, newer, wrong, path));
      TreePath altered = path;
      if (!altered.empty()) {
        altered[random.below(altered.size())][random.below(32)] ^= 1;
        REQUIRE_FALSE(shows_consistency(older, older_root, newer, newer_root, altered));
      }
      // A log that was rewritten before the older end, by a path made from the rewritten leaves.
      const std::size_t at = random.below(older);
      other_leaves = leaves;
      other_leaves[at][0] ^= 1;
      const TreePath forged = must(consistency_path(older, newer, subtrees_of(other_leaves)));
      REQUIRE_FALSE(shows_consistency(older, older_root, newer, defined_root(other_leaves, 0, newer), forged));
    }
    REQUIRE_FALSE(shows_consistency(0, sha256({}), newer, newer_root, {}));
  }
}
