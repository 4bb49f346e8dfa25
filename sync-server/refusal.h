// How a refusal looks on the wire: an ErrorReply with a fitting HTTP status.
#pragma once

#include "base/bytes.h"
#include "base/error.h"

namespace wrackline {

// The HTTP status for a code. Devices go by the code; the status is for tools between.
unsigned status_of(ErrorCode code);

// A serialised ErrorReply. The peer learns no more of the hub's own troubles (storage and its kin) than that they are: the
// message, which may name files, is for the hub's log.
Bytes error_reply(const Error& error);

}  // namespace wrackline
