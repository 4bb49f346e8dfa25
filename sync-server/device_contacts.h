// When the hub last heard of each device and what it learnt of it then: device-local facts of this hub, no
// records. They stand in a small file beside the records, which may be lost without harm.
//
// Kept in memory and written now and then, so that an exchange costs no further write to the disk; a crash
// loses the last seconds of it.
//
// Threads: one at a time. `read()` may be called by another process meanwhile: the file is replaced whole.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"

namespace wrackline {

struct DeviceContact {
  WallMs last_ms = 0;  // The time on the hub's clock.
  // The device's clock minus the hub's, to a second; absent when it did not tell its time.
  std::optional<std::int64_t> clock_offset_ms;
  // Changes the device said it held and the hub did not, at the end of its last exchange; absent before the
  // first. Nobody here can know what the device has written since.
  std::optional<std::uint64_t> unsent;
  std::string address_group;  // The group that peer_group_of() gives.
};

class DeviceContacts {
 public:
  static constexpr WallMs kWriteEveryMs = 10'000;

  // Begins with what is in the file; with nothing when there is none or it cannot be read.
  explicit DeviceContacts(std::string path);

  // Takes note of a request. `unsent` replaces what was known only when it is given.
  void note(const PublicKey& device, const DeviceContact& contact);
  // Writes what is new, at most every kWriteEveryMs unless `at_once`. Errors: kDiskFull, kReadOnly, kStorage;
  // it is then tried again at the next call.
  Status write(WallMs now, bool at_once);

  // Errors: kStorage when there is a file that cannot be read. No file is no error.
  static Result<std::map<PublicKey, DeviceContact>> read(const std::string& path);

 private:
  std::string path_;
  std::map<PublicKey, DeviceContact> contacts_;
  bool changed_ = false;
  WallMs written_ms_ = 0;
};

}  // namespace wrackline
