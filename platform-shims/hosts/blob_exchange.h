// Files between a device's folder and its hub, in parts: each goes on where it was when it was cut off.
//
// Records come first and never wait for this: a failure here costs nothing but a later try.
#pragma once

#include <functional>
#include <string_view>
#include <vector>

#include "hosts/blob_folder.h"
#include "hosts/hub_client.h"

namespace wrackline {

// How the hub is asked: with a session, which is opened anew when it has ended.
struct FileRoute {
  std::function<Result<Bytes>(const std::string& path, const Bytes& body)> post;
  std::function<Result<Bytes>(const std::string& path, std::uint64_t offset, std::uint64_t total, ByteView part)> put;
  std::function<Result<Bytes>(const std::string& path, std::uint64_t offset, std::uint64_t count)> get;
};

// After each part: how much of this file is there now, and of how much.
using FileProgress = std::function<void(std::uint64_t bytes, std::uint64_t total)>;

// How much of each the hub has, in the order asked. Errors: the hub's or the network's; kTransport for a strange answer.
Result<std::vector<BlobFolder::Held>> ask_held(const FileRoute& hub, const std::vector<Hash>& hashes);

// Sends what the hub lacks of a file that is whole here; `there` is what it had when asked.
// Errors: kNotFound when it is not here or no record at the hub names it; the hub's, the network's, the disk's.
Status send_file(const FileRoute& hub, const BlobFolder& folder, const Hash& hash, BlobFolder::Held there,
                 const FileProgress& progress);

// Fetches what is lacking here of a file of `total` bytes.
// Errors: kNotFound when the hub does not have all of it, kMalformed when what came is another file (it is then gone, and may
// be fetched anew); the hub's, the network's, the disk's.
Status fetch_file(const FileRoute& hub, BlobFolder& folder, const Hash& hash, std::uint64_t total,
                  const FileProgress& progress);

}  // namespace wrackline
