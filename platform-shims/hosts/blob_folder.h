// The files that attachment records name, each under its SHA-256: ROOT/ab/abcd... for what is whole, with ".part" behind it
// for what is still coming.
//
// A file comes in parts, in order; whoever was interrupted asks how much is there and goes on from it. It gets its name only when
// all of it is there and its hash is right, so a file under a name is what the name says, whoever sent it. Names are made
// from hashes here and never taken from outside.
//
// Folders have mode 0700, files 0600. A part is on the disk once put() has answered.
//
// Threads and processes: one at a time for a file that is coming; readers may be many. Two that put the same file at once
// cost each other a new beginning at worst, since the hash decides.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/bytes.h"
#include "base/result.h"
#include "crypto/sha256.h"

namespace wrackline {

// 64 hexadecimal digits in lower case, and nothing else: the name of a file here and on the hub.
inline std::string blob_name(const Hash& hash) { return to_hex(view(hash)); }
std::optional<Hash> parse_blob_name(std::string_view text);

class BlobFolder {
 public:
  // How much goes over the network at a time.
  static constexpr std::size_t kPartBytesMax = 1 << 20;

  // Makes nothing yet; the folder is made with the first file.
  explicit BlobFolder(std::string root) : root_(std::move(root)) {}
  const std::string& root() const { return root_; }

  struct Held {
    std::uint64_t bytes = 0;  // From the beginning on.
    bool whole = false;       // Under its name.
  };
  // Errors: kStorage and kin.
  Result<Held> held(const Hash& hash) const;

  // Takes in `part`, which stands at `offset` in a file of `total` bytes. Bytes that are there already are passed over, so a part
  // may come twice. When the file is complete it gets its name, or goes, if its hash is another.
  // Errors: kInvalid for a part that begins behind what is there or reaches beyond `total`, kMalformed when
  // all of it is there and its hash is another (nothing of it is kept then), kDiskFull and kStorage and kin
  // (what was there before stays, and the part may be put again).
  Result<Held> put(const Hash& hash, std::uint64_t offset, std::uint64_t total, ByteView part);

  // At most `bytes_max` bytes of a whole file from `offset` on; empty at its end.
  // Errors: kNotFound when it is not whole here, kStorage and kin.
  Result<Bytes> read(const Hash& hash, std::uint64_t offset, std::size_t bytes_max) const;

  // The bytes that all files here take, parts included; reads the whole folder. Errors: kStorage.
  Result<std::uint64_t> bytes_used() const;

 private:
  std::string folder_of(const Hash& hash) const;
  std::string path_of(const Hash& hash) const;
  std::string part_of(const Hash& hash) const { return path_of(hash) + ".part"; }
  Status make_folders(const Hash& hash) const;
  // The part is complete: its name, or nothing.
  Status finish(const Hash& hash) const;

  std::string root_;
};

}  // namespace wrackline
