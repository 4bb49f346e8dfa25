#include "refusal.h"

#include <exchange.pb.h>

namespace wrackline {

unsigned status_of(ErrorCode code) {
  switch (code) {
    case ErrorCode::kOk:
      return 200;
    case ErrorCode::kMalformed:
    case ErrorCode::kUnsupported:
    case ErrorCode::kBadSeal:
    case ErrorCode::kInvalid:
      return 400;
    case ErrorCode::kUnauthorized:
      return 401;
    case ErrorCode::kAtHub:
    case ErrorCode::kWrongPin:
    case ErrorCode::kUnknownDevice:
    case ErrorCode::kRevokedDevice:
    case ErrorCode::kWrongFacility:
      return 403;
    case ErrorCode::kNotFound:
      return 404;
    case ErrorCode::kLogGap:
    case ErrorCode::kFork:
    case ErrorCode::kDisagreement:
    case ErrorCode::kUnconfirmed:
      return 409;
    case ErrorCode::kTooLarge:
      return 413;
    case ErrorCode::kRateLimited:
      return 429;
    case ErrorCode::kBusy:
    case ErrorCode::kTransport:  // To the log that it shares with other hubs.
      return 503;
    case ErrorCode::kDiskFull:
      return 507;
    case ErrorCode::kStorage:
    case ErrorCode::kReadOnly:
    case ErrorCode::kNewerDatabase:
    case ErrorCode::kKeystore:
    case ErrorCode::kInternal:
      return 500;
  }
  return 500;  // A code this file was not told of.
}

Bytes error_reply(const Error& error) {
  proto::ErrorReply reply;
  reply.set_code(static_cast<std::uint32_t>(error.code));
  if (status_of(error.code) >= 500) {
    reply.set_message(
        std::string("the hub has trouble of its own (") + error_word(error.code) +
        ") and kept nothing of this request; everything entered is safe on this device and goes out with "
        "the next try. Tell whoever runs the hub");
  } else {
    reply.set_message(error.message);
  }
  return reply.SerializeAsString();
}

}  // namespace wrackline
