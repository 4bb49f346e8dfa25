// Attached files between this device and the hub, after the records: what is sent, and what it comes to.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "cli/client.h"
#include "cli/hub_access.h"
#include "hosts/blob_exchange.h"

namespace wrackline::cli {

// An attachment record and its file.
struct AttachedFile {
  RecordView view;
  Attachment attachment;
  Hash hash{};
};
// Lists the files that are here, for one record or for all. A record whose hash is none is left out. Throws
// Stop.
std::vector<AttachedFile> attached_files(Client& client, const std::optional<RecordRef>& subject, bool with_struck);

struct FilesSent {
  std::uint64_t sent = 0;   // Files that the hub has now and had not before.
  std::uint64_t bytes = 0;  // Their sizes.
  std::uint64_t left = 0;   // The files that are here and that it still lacks.
  std::string why;          // The reason for the first of those.
};
// Sends what the hub lacks of the files that are here. Never throws for the hub's or the network's sake: what could not be
// sent is left for the next time.
FilesSent send_files(Client& client, Hub& hub);
// A line, where there is something to tell.
void tell_files(const FilesSent& files);

// On a terminal a line that renews itself.
FileProgress show_file_progress(const std::string& doing);
void end_file_progress();

// "812 bytes", "482 kB", "3.1 MB": rounded, for people.
std::string size_text(std::uint64_t bytes);

}  // namespace wrackline::cli
