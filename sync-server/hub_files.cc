#include "hub_files.h"

#include <exchange.pb.h>
#include <records.pb.h>

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <limits>

#include "model/attachment.h"
#include "model/kinds.h"
#include "replica/replica.h"
#include "store/store.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kFilesProtocol = 1;
constexpr int kFilesAskedMax = 1024;

// Takes a number from the beginning of `text`; digits alone, no sign and no blank.
bool take_number(std::string_view& text, std::uint64_t& out) {
  if (text.empty() || text.front() < '0' || text.front() > '9') return false;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), out);
  if (error != std::errc()) return false;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return true;
}

bool take_word(std::string_view& text, std::string_view word) {
  if (text.substr(0, word.size()) != word) return false;
  text.remove_prefix(word.size());
  return true;
}

Result<Hash> hash_named(std::string_view name) {
  if (const auto hash = parse_blob_name(name)) return *hash;
  return fail(ErrorCode::kInvalid, "looking for a file: it goes by the 64 hexadecimal digits of its SHA-256, in lower case");
}

}  // namespace

HubFiles::HubFiles(Replica& replica, Options options)
    : replica_(replica), options_(std::move(options)), folder_(options_.root) {}

Result<FilePart> HubFiles::part_to_read(std::string_view name, std::string_view range) const {
  FilePart part;
  WRACKLINE_TRY_VALUE(hash, hash_named(name));
  part.hash = hash;
  std::uint64_t last = 0;
  if (!take_word(range, "bytes=") || !take_number(range, part.first) || !take_word(range, "-") || !take_number(range, last) ||
      !range.empty() || last < part.first || last >= kAttachmentBytesMax)
    return fail(ErrorCode::kInvalid, "reading a file: say which part of it, as in \"Range: bytes=0-1048575\"");
  part.count = std::min<std::uint64_t>(last - part.first + 1, BlobFolder::kPartBytesMax);
  return part;
}

Result<FilePart> HubFiles::part_to_take(std::string_view name, std::string_view content_range) {
  FilePart part;
  WRACKLINE_TRY_VALUE(hash, hash_named(name));
  part.hash = hash;
  std::uint64_t last = 0;
  if (!take_word(content_range, "bytes ") || !take_number(content_range, part.first) || !take_word(content_range, "-") ||
      !take_number(content_range, last) || !take_word(content_range, "/") || !take_number(content_range, part.total) ||
      !content_range.empty() || last < part.first || last >= part.total)
    return fail(ErrorCode::kInvalid, "taking in a file: say which part of it comes, as in \"Content-Range: bytes 0-1048575/2400000\"");
  part.count = last - part.first + 1;
  if (part.total > kAttachmentBytesMax)
    return fail(ErrorCode::kTooLarge, "taking in a file: it is over 64 MiB; nothing of it was kept");
  if (part.count > BlobFolder::kPartBytesMax)
    return fail(ErrorCode::kTooLarge, "taking in a file: a part is at most 1 MiB; nothing of it was kept. Send smaller ones");
  WRACKLINE_TRY(read_names());
  if (options_.root.empty() || named_.count({part.hash, part.total}) == 0)
    return fail(ErrorCode::kNotFound,
                "taking in a file: no attachment record here names a file of this hash and size, so nothing of it was kept. "
                "Exchange records first; a record that is held has to be taken in first");
  WRACKLINE_TRY(make_room(part));
  return part;
}

Status HubFiles::read_names() {
  Projection& records = replica_.store().records();
  const std::uint64_t changes = records.changes_of(Kind::kAttachment);
  if (changes_read_ == changes) return {};
  WRACKLINE_TRY_VALUE(places, records.find_all_subjects(Kind::kAttachment, std::numeric_limits<Day>::min(),
                                                        std::numeric_limits<Day>::max()));
  for (Place place : places) {
    if (read_.count(place) > 0) continue;
    WRACKLINE_TRY_VALUE(state, records.load(place));
    read_.insert(place);
    proto::Attachment attachment;
    Hash hash;
    // Struck ones too: they stay in the trail, and may come back into account.
    if (state && attachment.ParseFromString(state->fields) && copy_exactly(attachment.sha256(), hash) && attachment.bytes() > 0)
      named_.emplace(hash, attachment.bytes());
  }
  changes_read_ = changes;
  return {};
}

Status HubFiles::make_room(const FilePart& part) {
  if (!bytes_used_) {
    WRACKLINE_TRY_VALUE(used, folder_.bytes_used());
    bytes_used_ = used;
  }
  WRACKLINE_TRY_VALUE(before, folder_.held(part.hash));
  if (before.whole) return {};
  const std::uint64_t wanted = part.total - std::min(part.total, before.bytes);
  if (*bytes_used_ + wanted > options_.bytes_max)
    return fail(ErrorCode::kDiskFull, "taking in a file: " + options_.root + " holds " + std::to_string(*bytes_used_ >> 20) +
                                          " MiB and may hold " + std::to_string(options_.bytes_max >> 20) +
                                          " MiB; serve with a larger --blobs-max");
  std::error_code error;
  const auto room = std::filesystem::space(std::filesystem::path(options_.root).parent_path(), error);
  if (error) return fail(ErrorCode::kStorage, "taking in a file: looking for room at " + options_.root + ": " + error.message());
  if (room.available < options_.free_bytes_min + wanted)
    return fail(ErrorCode::kDiskFull, "taking in a file: the rest of the disk of " + options_.root + " is kept for records");
  return {};
}

Result<HubFiles::Read> HubFiles::read(const FilePart& part) const {
  BlobFolder::Held there;
  if (!options_.root.empty()) {
    WRACKLINE_TRY_VALUE(held, folder_.held(part.hash));
    there = held;
  }
  if (!there.whole)
    return fail(ErrorCode::kNotFound,
                "reading a file: this hub does not have all of it yet; whoever attached it sends it with its next exchange. Ask "
                "again later");
  if (part.first >= there.bytes) return fail(ErrorCode::kInvalid, "reading a file: the part asked for lies behind its end");
  WRACKLINE_TRY_VALUE(bytes, folder_.read(part.hash, part.first, static_cast<std::size_t>(part.count)));
  return Read{std::move(bytes), there.bytes};
}

Result<Bytes> HubFiles::take(const FilePart& part, ByteView body) {
  if (body.size() != part.count)
    return fail(ErrorCode::kInvalid, "taking in a file: the part is not as long as its Content-Range says; nothing of it was kept");
  WRACKLINE_TRY_VALUE(before, folder_.held(part.hash));
  auto put = folder_.put(part.hash, part.first, part.total, body);
  // This runs after a failure, too: a wrong hash takes everything with it.
  const auto after = folder_.held(part.hash);
  if (after && bytes_used_)
    *bytes_used_ = *bytes_used_ + after->bytes - before.bytes;
  else
    bytes_used_.reset();
  if (!put) return fail(put.error());
  proto::BlobHeld reply;
  reply.set_bytes(put->bytes);
  reply.set_whole(put->whole);
  return reply.SerializeAsString();
}

Result<Bytes> HubFiles::held(ByteView request_bytes) const {
  proto::BlobsRequest request;
  if (!request.ParseFromArray(request_bytes.data(), static_cast<int>(request_bytes.size())))
    return fail(ErrorCode::kMalformed, "looking for files: the body is not the message it should be");
  if (request.protocol() != kFilesProtocol)
    return fail(ErrorCode::kUnsupported, "looking for files: bring the hub and this device to the same release");
  if (request.sha256_size() > kFilesAskedMax)
    return fail(ErrorCode::kTooLarge, "looking for files: ask about at most 1024 at once");
  proto::BlobsReply reply;
  for (const Bytes& digest : request.sha256()) {
    Hash hash;
    if (!copy_exactly(digest, hash)) return fail(ErrorCode::kMalformed, "looking for files: a SHA-256 has 32 bytes");
    proto::BlobHeld& one = *reply.add_blobs();
    if (options_.root.empty()) continue;
    WRACKLINE_TRY_VALUE(there, folder_.held(hash));
    one.set_bytes(there.bytes);
    one.set_whole(there.whole);
  }
  return reply.SerializeAsString();
}

}  // namespace wrackline
