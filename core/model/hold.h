// This file says what a record of kind `hold` says: which changes stand out of account until an officer decides, and why.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline {

enum class HoldCause : std::uint32_t { kRole = 1, kAuthor = 2, kRevoked = 3, kFork = 4, kKind = 5, kUnproven = 6, kAtHub = 7, kEarly = 8 };

struct HeldChanges {
  LogId log;
  Seq first = 0;
  Seq last = 0;
};

// No log and an empty range for fields that name none.
HeldChanges held_changes(ByteView hold_fields);

// The branch a hold of a fork makes known; core/log/branch.h and core/log/seal.h give the values their meaning.
struct NamedBranch {
  LogId root;
  LogId of;
  Seq after = 0;
  Bytes start;  // Right edge of the tree there.
  std::array<unsigned char, 32> first{};
  Bytes opening;
};
std::optional<NamedBranch> named_branch(ByteView hold_fields);

HoldCause hold_cause(ByteView hold_fields);

Bytes hold_fields(const HeldChanges& changes, HoldCause cause, const std::string& note, WallMs held,
                  const NamedBranch* fork = nullptr);

}  // namespace wrackline
