// Goal: shortened paths lead to the same leaves and earlier roots as the whole paths of RFC 9162, sections 2.1.3 and 2.1.4, and
// wrong ones lead nowhere. Method: trees of 1 to 70 leaves, whose nodes are made here by the recursion of section 2.1.1.
#include <catch2/catch.hpp>

#include "log/known_tree.h"
#include "support/must.h"
#include "support/random.h"

using namespace wrackline;

namespace {

Hash root_over(const std::vector<Hash>& leaves, std::uint64_t first, std::uint64_t count) {
  if (count == 1) return leaves[first];
  std::uint64_t k = 1;
  while (2 * k < count) k *= 2;
  return tree_node(root_over(leaves, first, k), root_over(leaves, first + k, count - k));
}

}  // namespace

TEST_CASE("shortened paths show leaves and earlier trees, and wrong ones show nothing", "[evidence]") {
  Random random = test_random("shortened paths");
  std::vector<Hash> leaves;
  for (std::uint64_t size = 1; size <= 70; ++size) {
    leaves.push_back(tree_leaf("leaf " + std::to_string(size)));
    const Hash root = root_over(leaves, 0, size);
    const SubtreeRoot subtree = [&](std::uint64_t first, std::uint64_t count) { return Result<Hash>(root_over(leaves, first, count)); };
    for (int round = 0; round < 6; ++round) {
      CAPTURE(size, round);
      KnownTree tree(size, root);
      if (size > 1) {
        const std::uint64_t older = 1 + random.below(size - 1);
        const Subtree last = last_perfect(older);
        CHECK_FALSE(tree.root_at(older));
        TreePath path = must(consistency_path(older, size, subtree));
        if (last.count != older) path.erase(path.begin());
        REQUIRE(tree.path_size(last) == path.size());
        REQUIRE(tree.learn(last, root_over(leaves, last.first, last.count), path));
        CHECK(tree.root_at(older) == root_over(leaves, 0, older));
      }
      for (int change = 0; change < 5; ++change) {
        const std::uint64_t index = random.below(size);
        TreePath path = must(inclusion_path(index, size, subtree));
        const auto wanted = tree.path_size({index, 1});
        REQUIRE(wanted);
        REQUIRE(*wanted <= path.size());
        path.resize(*wanted);
        CHECK_FALSE(tree.learn({index, 1}, tree_leaf("another"), path));
        TreePath wrong = path;
        wrong.push_back(root);
        CHECK_FALSE(tree.learn({index, 1}, leaves[index], wrong));
        if (!path.empty()) {
          wrong = path;
          wrong[random.below(wrong.size())][0] ^= 1;
          CHECK_FALSE(tree.learn({index, 1}, leaves[index], wrong));
          wrong = path;
          wrong.pop_back();
          CHECK_FALSE(tree.learn({index, 1}, leaves[index], wrong));
        }
        CHECK(tree.learn({index, 1}, leaves[index], path));
        CHECK(tree.find({index, 1}) == leaves[index]);
        CHECK(tree.path_size({index, 1}) == 0u);
      }
      CHECK_FALSE(tree.path_size({size, 1}));
      CHECK_FALSE(tree.path_size({0, size + 1}));
      CHECK_FALSE(tree.path_size({0, 0}));
    }
  }
}
