// This file says what can go wrong, as data. The numbers leave the core in replies and on the wire and are never reused.
#pragma once

#include <cstdint>
#include <string>

namespace wrackline {

enum class ErrorCode : std::uint32_t {
  kOk = 0,
  // Bytes from outside that cannot be taken in. Nothing of them was kept.
  kMalformed = 1,       // Not what it says it is: truncated, altered, or no message of ours.
  kTooLarge = 2,        // Over a documented limit.
  kUnsupported = 3,     // Made by a newer release in a way this one cannot read.
  kBadSeal = 4,         // A signature or chain hash does not match: altered, or not by that device.
  kLogGap = 5,          // Changes between what is held and what came are missing; ask for them.
  kFork = 6,            // Two branches of one log; a person must look.
  kUnknownDevice = 7,   // Sealed by a device this replica has not been told of.
  kRevokedDevice = 8,   // Sealed or asked by a device an admin has revoked.
  kWrongFacility = 9,   // Belongs to another facility's records.
  // Requests that are understood and refused.
  kNotFound = 20,
  kInvalid = 21,        // A record that breaks a rule of its kind; the message says which.
  kDisagreement = 22,   // The field is in disagreement; settle it on purpose.
  kUnauthorized = 23,   // No session, no such code, or not this role.
  kRateLimited = 24,
  kUnconfirmed = 25,    // "Really?": written only when the call is sent again with its questions confirmed.
  kWrongPin = 27,       // Not the person's PIN, or they have none.
  kAtHub = 26,          // Only the hub may write it: ask it to, with the PIN (POST /v1/act).
  // This device's trouble. The same call may be tried again after it is mended.
  kStorage = 40,
  kDiskFull = 41,
  kReadOnly = 42,
  kNewerDatabase = 43,  // Written by a newer release; left untouched.
  kBusy = 44,           // Another process is writing.
  kKeystore = 45,       // The device key could not be read or used.
  kTransport = 46,      // The network or the other end's TLS.
  kInternal = 60,       // A fault of ours.
};

// A failure: what was being done, to what, what was kept and what to do next. Never holds keys or the
// contents of records.
struct Error {
  ErrorCode code = ErrorCode::kInternal;
  std::string message;
};

// The stable lower-case word for a code, as shown in logs and by --json ("log_gap").
const char* error_word(ErrorCode code);

}  // namespace wrackline
