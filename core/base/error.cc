#include "base/error.h"

namespace wrackline {

const char* error_word(ErrorCode code) {
  switch (code) {
    case ErrorCode::kOk: return "ok";
    case ErrorCode::kMalformed: return "malformed";
    case ErrorCode::kTooLarge: return "too_large";
    case ErrorCode::kUnsupported: return "unsupported";
    case ErrorCode::kBadSeal: return "bad_seal";
    case ErrorCode::kLogGap: return "log_gap";
    case ErrorCode::kFork: return "fork";
    case ErrorCode::kUnknownDevice: return "unknown_device";
    case ErrorCode::kRevokedDevice: return "revoked_device";
    case ErrorCode::kWrongFacility: return "wrong_facility";
    case ErrorCode::kNotFound: return "not_found";
    case ErrorCode::kInvalid: return "invalid";
    case ErrorCode::kDisagreement: return "disagreement";
    case ErrorCode::kUnauthorized: return "unauthorized";
    case ErrorCode::kRateLimited: return "rate_limited";
    case ErrorCode::kUnconfirmed: return "unconfirmed";
    case ErrorCode::kAtHub: return "at_hub";
    case ErrorCode::kWrongPin: return "wrong_pin";
    case ErrorCode::kStorage: return "storage";
    case ErrorCode::kDiskFull: return "disk_full";
    case ErrorCode::kReadOnly: return "read_only";
    case ErrorCode::kNewerDatabase: return "newer_database";
    case ErrorCode::kBusy: return "busy";
    case ErrorCode::kKeystore: return "keystore";
    case ErrorCode::kTransport: return "transport";
    case ErrorCode::kInternal: return "internal";
  }
  return "unknown";  // A number from a newer release.
}

}  // namespace wrackline
