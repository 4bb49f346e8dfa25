#include "log/known_tree.h"

namespace wrackline {
namespace {

// Where RFC 9162 parts a tree of n > 1 leaves: the largest power of two below n.
std::uint64_t part_of(std::uint64_t n) {
  std::uint64_t k = 1;
  while (k < n - k) k <<= 1;
  return k;
}

Hash node_over(const Subtree& a, const Hash& hash_a, const Subtree& b, const Hash& hash_b) {
  return a.first < b.first ? tree_node(hash_a, hash_b) : tree_node(hash_b, hash_a);
}

}  // namespace

Subtree last_perfect(std::uint64_t size) {
  const std::uint64_t count = size & (~size + 1);
  return {size - count, count};
}

std::optional<std::vector<KnownTree::Step>> KnownTree::way_to(const Subtree& at) const {
  std::vector<Step> out;
  if (at.count == 0 || at.count > size_ || at.first > size_ - at.count) return std::nullopt;
  Subtree here{0, size_};
  while (!(here == at)) {
    if (here.count == 1) return std::nullopt;
    const std::uint64_t k = part_of(here.count);
    const Subtree left{here.first, k}, right{here.first + k, here.count - k};
    const bool is_left = at.first < right.first;
    here = is_left ? left : right;
    if (at.count > here.count) return std::nullopt;
    out.push_back({here, is_left ? right : left});
  }
  return out;
}

std::optional<std::size_t> KnownTree::path_size(const Subtree& at) const {
  const auto way = way_to(at);
  if (!way) return std::nullopt;
  std::size_t unknown = 0;
  while (unknown < way->size() && hashes_.count((*way)[way->size() - 1 - unknown].on) == 0) ++unknown;
  return unknown;
}

bool KnownTree::learn(const Subtree& at, const Hash& root, const TreePath& path) { return take(at, root, path, false); }
bool KnownTree::assume(const Subtree& at, const Hash& root, const TreePath& path) { return take(at, root, path, true); }

bool KnownTree::take(const Subtree& at, const Hash& root, const TreePath& path, bool is_believed) {
  const auto wanted = path_size(at);
  if (!wanted || path.size() != *wanted) return false;
  const std::vector<Step> way = *way_to(at);
  std::vector<std::pair<Subtree, Hash>> passed;
  Hash hash = root;
  for (std::size_t i = 0; i < path.size(); ++i) {
    const Step& step = way[way.size() - 1 - i];
    passed.emplace_back(step.on, hash);
    passed.emplace_back(step.beside, path[i]);
    hash = node_over(step.on, hash, step.beside, path[i]);
  }
  const std::size_t above = way.size() - path.size();
  if (!is_believed && find(above == 0 ? Subtree{0, size_} : way[above - 1].on) != hash) return false;
  hashes_.insert(passed.begin(), passed.end());
  return true;
}

std::optional<Hash> KnownTree::find(const Subtree& at) const {
  const auto found = hashes_.find(at);
  return found == hashes_.end() ? std::nullopt : std::optional<Hash>(found->second);
}

std::optional<Hash> KnownTree::root_at(std::uint64_t size) const {
  if (size == size_) return find({0, size_});
  const Subtree last = last_perfect(size);
  std::optional<Hash> out = find(last);
  const auto way = out ? way_to(last) : std::nullopt;
  if (!way) return std::nullopt;
  for (auto step = way->rbegin(); step != way->rend(); ++step) {
    if (step->beside.first < step->on.first) out = tree_node(*find(step->beside), *out);
  }
  return out;
}

}  // namespace wrackline
