// The part of a log's tree that is shown to somebody who has little else of it: the root that the seal names, and step by step
// the subtrees that lead to single leaves.
//
// A path begins at a subtree and gives the hashes beside the way from there to the smallest subtree around it that is known
// already, the lowest first. From the root that is the path of RFC 9162, 2.1.3.1; behind other paths it is shorter, since each
// path makes known what it passes, on the way and beside it.
//
// Pure. Threads: any, on objects of their own. Memory: two hashes for each that a path gives.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "log/merkle_tree.h"

namespace wrackline {

// The leaves first, ..., first + count - 1, counted from 0.
struct Subtree {
  std::uint64_t first = 0;
  std::uint64_t count = 0;
  friend bool operator==(const Subtree& a, const Subtree& b) { return a.first == b.first && a.count == b.count; }
  friend bool operator<(const Subtree& a, const Subtree& b) {
    return a.first == b.first ? a.count < b.count : a.first < b.first;
  }
};

// The perfect subtree that ends where a tree of so many leaves ends, for size > 0. It stands in each longer tree too, and what
// stands to its left on the way to the root makes up the rest of the shorter tree.
Subtree last_perfect(std::uint64_t size);

class KnownTree {
 public:
  // `size` > 0.
  KnownTree(std::uint64_t size, const Hash& root) : size_(size), hashes_{{{0, size}, root}} {}

  // How many hashes a path from there has: 0 when the subtree is known. None when the tree has no such subtree.
  std::optional<std::size_t> path_size(const Subtree& at) const;
  // Whether the path shows that the subtree has this root; then it and what the path passed are known. Takes nothing in
  // otherwise.
  bool learn(const Subtree& at, const Hash& root, const TreePath& path);
  // Does the same as learn(), but believes whatever the path leads to: for whoever wants to know which path is at odds with
  // the others once one of them has failed. False when it has not the length of such a path.
  bool assume(const Subtree& at, const Hash& root, const TreePath& path);
  // The root of the subtree, when it is known.
  std::optional<Hash> find(const Subtree& at) const;
  // The root of the tree of the first `size` leaves; none before the subtree with which it ends is known.
  std::optional<Hash> root_at(std::uint64_t size) const;

 private:
  struct Step {
    Subtree on, beside;
  };
  bool take(const Subtree& at, const Hash& root, const TreePath& path, bool is_believed);
  // From the root down; none when the tree has no such subtree.
  std::optional<std::vector<Step>> way_to(const Subtree& at) const;

  std::uint64_t size_;
  std::map<Subtree, Hash> hashes_;  // Both parts of a subtree, or none.
};

}  // namespace wrackline
