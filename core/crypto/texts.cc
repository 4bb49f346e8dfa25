#include "crypto/texts.h"

namespace wrackline {

Bytes enrolment_text(ByteView code, const PublicKey& device) {
  Bytes text = "wrackline/enrol/1";
  text += view(sha256(code));
  text += view(device);
  return text;
}

Bytes session_text(const FacilityId& facility, ByteView nonce) {
  Bytes text = "wrackline/session/1";
  text += view(facility);
  text += nonce;
  return text;
}

Bytes request_text(const FacilityId& facility, ByteView token, std::uint64_t number, const RequestHead& head, const Hash& body) {
  Bytes text = "wrackline/request/1";
  text += view(facility);
  text += view(sha256(token));
  append_le(text, number, 8);
  text += view(body);
  for (const ByteView part : {head.method, head.path, head.range}) {
    text += part;
    text += '\n';
  }
  return text;
}

Bytes rekey_text(const FacilityId& facility, const PublicKey& before, const PublicKey& next) {
  Bytes text = "wrackline/rekey/1";
  text += view(facility);
  text += view(before);
  text += view(next);
  return text;
}

Bytes device_pin_text(ByteView stretched) {
  Bytes text = "wrackline/pin/1";
  text += stretched;
  return text;
}

Bytes app_release_text(ByteView manifest) {
  Bytes text = "wrackline/app-release/1";
  text += manifest;
  return text;
}

}  // namespace wrackline
