// One-time codes that let a new device in.
//
// crypto/one_time_code.h says how a code looks.
//
// Codes stand hashed in a file beside the records, so that `wrackline-server code` can add one while the hub
// serves. A code lets one device in: it is bound, durably, to the first key that hands it in, and the same
// key may hand it in again until it expires, because the hub's answer may have been lost on the way.
//
// Threads and processes: any, one lock file (path + ".lock") orders them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/one_time_code.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"

namespace wrackline {

class EnrolmentCodes {
 public:
  static constexpr std::size_t kOpenMax = 64;  // More open codes would make one easier to guess.

  // The person who had a code made, and the device it was made at; nobody for one that was made at the hub's
  // own machine.
  struct Inviter {
    RecordId person, device;
  };

  explicit EnrolmentCodes(std::string path) : path_(std::move(path)) {}

  // Makes a code that expires `lifetime_ms` after `now`, durable when this returns. It is told once, here.
  // Errors: kInvalid when kOpenMax are open; kKeystore, kDiskFull, kReadOnly, kStorage.
  Result<std::string> make(WallMs now, WallMs lifetime_ms, const Inviter& inviter = {});

  // Binds `code`, as a person typed it, to `device`, and says who invited it. Errors: kUnauthorized when there is no such code, it has
  // expired, or another device has used it; which of these is not told. kStorage and its kin.
  Result<Inviter> spend(std::string_view code, const PublicKey& device, WallMs now);

 private:
  struct Entry {
    Hash hash{};
    WallMs expires_ms = 0;
    std::string spent_by;  // The key in hexadecimal, or "-" while the code is open.
    Inviter inviter;
  };
  Result<std::vector<Entry>> read(WallMs now) const;
  Status write(const std::vector<Entry>& entries) const;
  std::string path_;
};

}  // namespace wrackline
