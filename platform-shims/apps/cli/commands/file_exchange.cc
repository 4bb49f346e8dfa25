#include "cli/commands/file_exchange.h"

#include <unistd.h>

#include <filesystem>
#include <iostream>
#include <set>

#include "base/counted.h"
#include "cli/command.h"
#include "text/message_schema.h"

namespace wrackline::cli {

std::vector<AttachedFile> attached_files(Client& client, const std::optional<RecordRef>& subject, bool with_struck) {
  std::vector<AttachedFile> out;
  for (RecordView& view : client.list(kind_number("attachment"), subject, {}, with_struck)) {
    AttachedFile file;
    if (!file.attachment.ParseFromString(view.fields()) || !copy_exactly(file.attachment.sha256(), file.hash)) continue;
    file.view = std::move(view);
    out.push_back(std::move(file));
  }
  return out;
}

namespace {

// One file's failure leaves the others; the network's, or a hub that has no room, leaves all.
bool is_of_this_file(ErrorCode code) {
  return code == ErrorCode::kNotFound || code == ErrorCode::kMalformed || code == ErrorCode::kInvalid || code == ErrorCode::kTooLarge;
}

}  // namespace

FilesSent send_files(Client& client, Hub& hub) {
  FilesSent out;
  const BlobFolder folder(client.options().dir.blobs());
  if (!std::filesystem::exists(folder.root())) return out;  // Most devices never attach anything.
  std::vector<Hash> here;
  std::set<Hash> seen;
  const auto leave = [&out](const Error& error) {
    if (out.left++ == 0) out.why = error.message;
  };
  for (const AttachedFile& file : attached_files(client, {}, true)) {
    if (!seen.insert(file.hash).second) continue;
    const auto held = folder.held(file.hash);
    if (!held)
      leave(held.error());
    else if (held->whole)
      here.push_back(file.hash);
  }
  const FileRoute route = hub.files();
  const auto there = ask_held(route, here);
  if (!there) {
    out.left += here.size();
    out.why = there.error().message;
    return out;
  }
  bool is_over = false;
  for (std::size_t i = 0; i < here.size(); ++i) {
    if ((*there)[i].whole) continue;
    if (is_over) {
      ++out.left;
      continue;
    }
    const Status sent = send_file(route, folder, here[i], (*there)[i], show_file_progress("sending files"));
    if (!sent) {
      leave(sent.error());
      is_over = !is_of_this_file(sent.error().code);
      continue;
    }
    ++out.sent;
    const auto held = folder.held(here[i]);
    if (held) out.bytes += held->bytes;
  }
  end_file_progress();
  return out;
}

void tell_files(const FilesSent& files) {
  if (files.sent > 0) print("files: " + std::to_string(files.sent) + " sent, " + size_text(files.bytes) + "\n");
  if (files.left > 0)
    print("files: " + std::to_string(files.left) + " left to send (" + files.why +
          "). The records are exchanged all the same; `wrack exchange` goes on with the files\n");
}

FileProgress show_file_progress(const std::string& doing) {
  return [doing](std::uint64_t bytes, std::uint64_t total) {
    if (isatty(STDERR_FILENO))
      std::cerr << "\r\x1b[K" << doing << ": " << size_text(bytes) << " of " << size_text(total) << std::flush;
  };
}

void end_file_progress() {
  if (isatty(STDERR_FILENO)) std::cerr << "\r\x1b[K";
}

std::string size_text(std::uint64_t bytes) {
  if (bytes < 1000) return counted(bytes, "byte");
  const bool is_large = bytes >= 999'950;
  const std::uint64_t tenths = is_large ? (bytes + 50'000) / 100'000 : (bytes + 50) / 100;
  return std::to_string(tenths / 10) + (tenths % 10 ? "." + std::to_string(tenths % 10) : "") + (is_large ? " MB" : " kB");
}

}  // namespace wrackline::cli
