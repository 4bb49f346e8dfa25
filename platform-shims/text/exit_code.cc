#include "text/exit_code.h"

namespace wrackline::text {

Exit exit_of(ErrorCode code) {
  switch (code) {
    case ErrorCode::kOk:
      return Exit::kOk;
    case ErrorCode::kMalformed:
    case ErrorCode::kTooLarge:
    case ErrorCode::kUnsupported:
    case ErrorCode::kBadSeal:
    case ErrorCode::kLogGap:
    case ErrorCode::kFork:
    case ErrorCode::kWrongFacility:
    case ErrorCode::kInternal:
      return Exit::kFailed;
    case ErrorCode::kNotFound:
      return Exit::kNotFound;
    case ErrorCode::kInvalid:
    case ErrorCode::kDisagreement:
    case ErrorCode::kUnauthorized:
    case ErrorCode::kUnconfirmed:
    case ErrorCode::kAtHub:
    case ErrorCode::kWrongPin:
    case ErrorCode::kUnknownDevice:
    case ErrorCode::kRevokedDevice:
      return Exit::kRefused;
    case ErrorCode::kStorage:
    case ErrorCode::kDiskFull:
    case ErrorCode::kReadOnly:
    case ErrorCode::kNewerDatabase:
    case ErrorCode::kBusy:
    case ErrorCode::kKeystore:
      return Exit::kStorage;
    case ErrorCode::kRateLimited:
    case ErrorCode::kTransport:
      return Exit::kNetwork;
  }
  return Exit::kFailed;
}

Stop stop_of(const Error& error) { return {exit_of(error.code), error.message, error_word(error.code)}; }

}  // namespace wrackline::text
