#include "crypto/texts.h"

namespace wrackline {

Bytes seal_text(const FacilityId& facility, ChangeId last, const Hash& chain) {
  Bytes text = "wrackline/seal/1";
  text += view(facility);
  append_le(text, last.log.value, 8);
  append_le(text, last.seq, 4);
  text += view(chain);
  return text;
}

Bytes receipt_text(const FacilityId& facility, ChangeId last, std::uint64_t head, WallMs held) {
  Bytes text = "wrackline/receipt/1";
  text += view(facility);
  append_le(text, last.log.value, 8);
  append_le(text, last.seq, 4);
  append_le(text, head, 8);
  append_le(text, held, 8);
  return text;
}

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

Bytes rekey_text(const FacilityId& facility, const PublicKey& before, const PublicKey& next) {
  Bytes text = "wrackline/rekey/1";
  text += view(facility);
  text += view(before);
  text += view(next);
  return text;
}

}  // namespace wrackline
