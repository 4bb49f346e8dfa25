// The files of attachment records on the hub: which it takes, and how they come and go.
//
// A device may only bring what a record here names, hash and size, so none can fill the disk with what no record accounts
// for. What each request may hold stands in README.md, "Files".
//
// Threads: the hub's one.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <unordered_set>
#include <utility>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "hosts/blob_folder.h"
#include "store/log_table.h"

namespace wrackline {

class Replica;

// A part of a file, as a request's head names it.
struct FilePart {
  Hash hash{};
  std::uint64_t first = 0;
  std::uint64_t count = 0;
  std::uint64_t total = 0;  // The size of the whole file; 0 in a request to read.
};

class HubFiles {
 public:
  struct Options {
    std::string root;  // Empty: this hub takes and has no files.
    std::uint64_t bytes_max = 20ull << 30;
    // The hub leaves this much of the disk free for the records.
    std::uint64_t free_bytes_min = 512ull << 20;
  };
  HubFiles(Replica& replica, Options options);

  // From "64 digits" and "bytes=0-1048575"; what is asked for beyond BlobFolder::kPartBytesMax is left off. Errors: kInvalid.
  Result<FilePart> part_to_read(std::string_view name, std::string_view range) const;
  // From "64 digits" and "bytes 0-1048575/2400000", before the body is read.
  // Errors: kInvalid, kNotFound when no record names such a file, kTooLarge, kDiskFull when there is no room for it, kStorage.
  Result<FilePart> part_to_take(std::string_view name, std::string_view content_range);

  struct Read {
    Bytes bytes;
    std::uint64_t total = 0;
  };
  // Errors: kNotFound when it is not whole here, kInvalid for a part behind its end, kStorage.
  Result<Read> read(const FilePart& part) const;
  // The answer's body (BlobHeld). Errors: kInvalid, and those of BlobFolder::put.
  Result<Bytes> take(const FilePart& part, ByteView body);
  // BlobsRequest -> BlobsReply. Errors: kMalformed, kUnsupported, kTooLarge, kStorage.
  Result<Bytes> held(ByteView request) const;

 private:
  Status read_names();
  Status make_room(const FilePart& part);

  Replica& replica_;
  Options options_;
  BlobFolder folder_;
  // The files that records name. Each record is read once, when it has arrived; an edit of its hash is not
  // followed.
  std::set<std::pair<Hash, std::uint64_t>> named_;
  std::unordered_set<Place> read_;
  std::optional<std::uint64_t> changes_read_;
  std::optional<std::uint64_t> bytes_used_;  // Counted when it is first asked for.
};

}  // namespace wrackline
