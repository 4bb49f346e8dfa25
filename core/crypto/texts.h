// The texts that get signed, each with the name of its purpose in front. That of a seal stands in log/seal.h.
#pragma once

#include "base/bytes.h"
#include "base/ids.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"

namespace wrackline {

// A device that enrols shows that it holds the private key.
Bytes enrolment_text(ByteView code, const PublicKey& device);
// A device that opens a session answers the hub's nonce.
Bytes session_text(const FacilityId& facility, ByteView nonce);

// A request in a session, by its head. None of them has a line break in it.
struct RequestHead {
  ByteView method;
  ByteView path;
  ByteView range = {};  // Names a part of a file: Range or Content-Range, as sent.
};
// A device asks something in its session: `number` is good once in it, `body` is the SHA-256 of the request's body.
Bytes request_text(const FacilityId& facility, ByteView token, std::uint64_t number, const RequestHead& head, const Hash& body);

// A device that goes on under another key; both keys sign it.
Bytes rekey_text(const FacilityId& facility, const PublicKey& before, const PublicKey& next);

// A PIN, stretched, for the hash that a device keeps of it. Only the device itself ever sees the signature.
Bytes device_pin_text(ByteView stretched);

// A release of the tablet app: its manifest (sync-server/app_manifest.h), signed by the release key.
Bytes app_release_text(ByteView manifest);

}  // namespace wrackline
