// An enrolled device that attaches files to records, for the tests of the hub's files.
#pragma once

#include <memory>
#include <string>

#include "hosts/blob_exchange.h"
#include "test_device.h"

namespace wrackline {

class AttachingDevice {
 public:
  // Logs a keeper of its own and exchanges.
  AttachingDevice(RunningHub& hub, std::string name);

  // Logs an attachment to the keeper's record and keeps its file, without an exchange.
  Hash attach(const Bytes& content);
  // With a session of the device's, which must have exchanged since the hub was started.
  FileRoute route();
  Status send(const Hash& hash, const FileProgress& progress = [](std::uint64_t, std::uint64_t) {});

  TestDevice device;
  BlobFolder folder;

 private:
  RunningHub& hub_;
  RecordId keeper_;
  std::unique_ptr<HubClient> client_;
};

// How many files are in a folder and below it.
std::size_t files_below(const std::string& folder);

}  // namespace wrackline
