// An evidence file as it was read: what it claims, nothing of it believed yet. core/README.md describes the
// file.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"

namespace wrackline::evidence {

inline constexpr std::size_t kFileBytesMax = std::size_t{1} << 30;
inline constexpr std::size_t kLineBytesMax = std::size_t{1} << 20;

struct FileChange {
  Seq seq = 0;
  std::size_t line = 0;  // Of the file, from 1.
  Bytes bytes;
  Bytes mark;
};

struct FileSeal {
  Seq seq = 0;
  std::size_t line = 0;
  Hash hash{};  // Of the chain at that change, as the writer had it.
  Signature signature{};
};

struct FileReceipt {
  Seq seq = 0;
  std::size_t line = 0;
  WallMs held_ms = 0;
  Signature signature{};
};

// A contiguous piece of one log, ended by a seal.
struct FilePart {
  LogId log;
  LogId sealed_as;
  PublicKey device{};
  Seq first = 0;
  Seq last = 0;
  Hash before{};
  LogId branch_of;  // None for a log that is no branch.
  Seq branch_after = 0;
  std::size_t line = 0;
  std::vector<FileChange> changes;    // By seq without gaps, from `first`.
  std::vector<FileSeal> seals;        // By seq; each speaks of a change that is here.
  std::vector<FileReceipt> receipts;  // The same.
};

struct File {
  FacilityId facility{};
  PublicKey hub_key{};
  WallMs written_ms = 0;
  bool whole = false;
  std::vector<RecordId> records;
  std::map<RecordId, std::string> names;  // By the writer's word.
  std::vector<FilePart> parts;
  std::size_t lines = 0;
  // The first line that is not as its writer wrote it, by the checks of the lines.
  std::optional<std::size_t> damaged_line;
};

// Reads the text of a file. Errors: kMalformed with the line, and what was to stand there; kTooLarge;
// kUnsupported.
Result<File> read_file(ByteView text);

}  // namespace wrackline::evidence
