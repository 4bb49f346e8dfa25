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
#include "log/leaf.h"
#include "log/seal.h"

namespace wrackline::evidence {

inline constexpr std::size_t kFileBytesMax = std::size_t{1} << 30;
inline constexpr std::size_t kLineBytesMax = std::size_t{1} << 20;

struct FileChange {
  Seq seq = 0;
  std::size_t line = 0;  // The number of the line in the file, from 1.
  LeafParts parts;       // Without its content where that is withheld.
  Salt salt{};
  std::optional<Hash> commit;  // Where the content is withheld.
  TreePath path;

  Hash leaf() const { return leaf_of(commit ? *commit : content_commit(salt, parts.content), parts.envelope); }
};

// A tree that the sealed one goes on from.
struct FileReach {
  Seq size = 0;
  std::size_t line = 0;
  TreePath path;
};

// The part of one log that is in the file, and the newest seal of its device, which covers all of it.
struct FileLog {
  LogId log;
  LogId sealed_as;
  LogOpening opening;
  LogSeal seal;
  LogId branch_of;  // None for a log that is no branch.
  Seq branch_after = 0;
  bool whole = false;  // All its changes are here, without paths.
  std::size_t line = 0;
  std::vector<FileReach> reaches;   // The order is that of their sizes.
  std::vector<FileChange> changes;  // At least one, in the order of seq.

  bool is_arrivals() const { return opening.log_class == LogClass::kArrivals; }
  Seq size() const { return static_cast<Seq>(seal.size); }
};

struct File {
  FacilityId facility{};
  PublicKey hub_key{};
  WallMs written_ms = 0;
  bool whole = false;
  std::vector<RecordId> records;
  std::map<RecordId, std::string> names;  // Names that only the writer vouches for.
  std::map<LogId, FileLog> logs;
  std::vector<const FileLog*> in_order() const;  // The logs in the order of the file.
  std::size_t lines = 0;
  // The first line that is not as its writer wrote it, by the checks of the lines.
  std::optional<std::size_t> damaged_line;
};

// Reads the text of a file. Errors: kMalformed with the line, and what was to stand there; kTooLarge.
Result<File> read_file(ByteView text);

}  // namespace wrackline::evidence
