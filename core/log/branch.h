// A log that was continued twice (a tablet cloned, or restored from an old backup) has two branches behind the last
// change they share. The one the hub held first keeps the log's id; the other is kept whole under an id of its own,
// made from the two places where they part, so that every replica calls it the same.
//
//   branch id = first 8 bytes of SHA-256("wrackline/branch/2" || root log(8) || last shared seq(8) || leaf of its first own change)
//
// Its changes keep their seqs, bytes, leaves and seals. Where they name a change of their own branch they say the root
// log's id, since their author knew no other; rebind() reads that as what was meant.
#pragma once

#include <utility>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "crypto/sha256.h"

namespace wrackline {

struct Branch {
  LogId root;      // Under which its device wrote and sealed it.
  LogId of;        // The log it leaves: the root, or another branch of it.
  Seq after = 0;   // The last change they share.
  Hash first{};    // Leaf of the first change of its own.
};

LogId branch_id(LogId root, Seq after, const Hash& first_leaf);

// From which seq on a name of the root log means which log; the nearest first.
using Ancestry = std::vector<std::pair<Seq, LogId>>;

// Replaces the root's id in every reference (proto/change.proto, RecordRef and Replaced) to a change behind the
// place where a branch begins. Both have the same shape and size with either id, and an id is 64 random bits, so the
// bytes are looked through rather than read.
void rebind(Bytes& change, LogId root, const Ancestry& ancestry);

}  // namespace wrackline
