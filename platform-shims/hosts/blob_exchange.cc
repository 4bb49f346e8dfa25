#include "hosts/blob_exchange.h"

#include <exchange.pb.h>

#include <algorithm>

namespace wrackline {
namespace {

constexpr std::uint32_t kBlobProtocol = 1;
constexpr std::size_t kAskedAtOnce = 1024;  // The hub takes no more in one request.

std::string path_of_blob(const Hash& hash) { return "/v1/blob/" + blob_name(hash); }

Unexpected strange_file_answer(const char* doing) {
  return fail(ErrorCode::kTransport, std::string(doing) + ": what answered is no hub of this release. Check the hub's address");
}

}  // namespace

Result<std::vector<BlobFolder::Held>> ask_held(const FileRoute& hub, const std::vector<Hash>& hashes) {
  std::vector<BlobFolder::Held> out;
  while (out.size() < hashes.size()) {
    proto::BlobsRequest request;
    request.set_protocol(kBlobProtocol);
    const std::size_t end = std::min(hashes.size(), out.size() + kAskedAtOnce);
    for (std::size_t i = out.size(); i < end; ++i) request.add_sha256(Bytes(view(hashes[i])));
    WRACKLINE_TRY_VALUE(answer, hub.post("/v1/blobs", request.SerializeAsString()));
    proto::BlobsReply reply;
    if (!reply.ParseFromString(answer) || reply.blobs_size() != request.sha256_size())
      return strange_file_answer("asking the hub which files it has");
    for (const proto::BlobHeld& held : reply.blobs()) out.push_back({held.bytes(), held.whole()});
  }
  return out;
}

Status send_file(const FileRoute& hub, const BlobFolder& folder, const Hash& hash, BlobFolder::Held there,
                 const FileProgress& progress) {
  WRACKLINE_TRY_VALUE(here, folder.held(hash));
  if (!here.whole)
    return fail(ErrorCode::kNotFound, "sending a file: it is not on this device, or not all of it");
  while (!there.whole) {
    // All of it may be there without its name, if the hub was stopped in between: a byte sent again finishes it.
    const std::uint64_t offset = std::min(there.bytes, here.bytes - 1);
    WRACKLINE_TRY_VALUE(part, folder.read(hash, offset, BlobFolder::kPartBytesMax));
    WRACKLINE_TRY_VALUE(answer, hub.put(path_of_blob(hash), offset, here.bytes, part));
    proto::BlobHeld held;
    if (!held.ParseFromString(answer) || (!held.whole() && held.bytes() <= there.bytes))
      return strange_file_answer("sending a file");  // Or it would be sent for ever.
    there = {held.bytes(), held.whole()};
    progress(there.bytes, here.bytes);
  }
  return {};
}

Status fetch_file(const FileRoute& hub, BlobFolder& folder, const Hash& hash, std::uint64_t total,
                  const FileProgress& progress) {
  WRACKLINE_TRY_VALUE(here, folder.held(hash));
  while (!here.whole) {
    const std::uint64_t offset = here.bytes < total ? here.bytes : total - 1;
    const std::uint64_t count = std::min<std::uint64_t>(total - offset, BlobFolder::kPartBytesMax);
    WRACKLINE_TRY_VALUE(part, hub.get(path_of_blob(hash), offset, count));
    if (part.empty() || part.size() > count) return strange_file_answer("fetching a file");
    WRACKLINE_TRY_VALUE(after, folder.put(hash, offset, total, part));
    here = after;
    progress(here.bytes, total);
  }
  return {};
}

}  // namespace wrackline
