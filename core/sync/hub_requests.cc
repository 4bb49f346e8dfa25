#include "sync/hub_requests.h"

#include <exchange.pb.h>

#include "crypto/texts.h"

namespace wrackline {
namespace {


template <typename Message>
bool read(ByteView bytes, Message& message) {
  return message.ParseFromArray(bytes.data(), static_cast<int>(bytes.size()));
}

}  // namespace

Result<Bytes> enrol_request(std::string_view code, Keystore& keystore, const std::string& device_name) {
  const PublicKey key = keystore.public_key();
  WRACKLINE_TRY_VALUE(signature, keystore.sign(enrolment_text(code, key)));
  proto::EnrolRequest request;
  request.set_protocol(kRequestProtocol);
  request.set_code(std::string(code));
  request.set_device_key(Bytes(view(key)));
  request.set_device_name(device_name);
  request.set_signature(Bytes(view(signature)));
  return request.SerializeAsString();
}

std::optional<Enrolment> read_enrol_reply(ByteView answer) {
  proto::EnrolReply reply;
  Enrolment out;
  if (!read(answer, reply) || !copy_exactly(reply.facility(), out.facility) || !copy_exactly(reply.hub_key(), out.hub_key) ||
      !is_sound_key(out.hub_key))
    return {};
  out.facility_name = reply.facility_name();
  return out;
}

Result<Bytes> session_request(const FacilityId& facility, Keystore& keystore, ByteView nonce) {
  proto::SessionRequest request;
  request.set_protocol(kRequestProtocol);
  request.set_device_key(Bytes(view(keystore.public_key())));
  if (!nonce.empty()) {
    WRACKLINE_TRY_VALUE(signature, keystore.sign(session_text(facility, nonce)));
    request.set_nonce(Bytes(nonce));
    request.set_signature(Bytes(view(signature)));
  }
  return request.SerializeAsString();
}

std::optional<Bytes> read_session_nonce(ByteView answer) {
  proto::SessionReply reply;
  if (!read(answer, reply) || reply.nonce().size() != 32) return {};
  return reply.nonce();
}

std::optional<std::string> read_session_token(ByteView answer) {
  proto::SessionReply reply;
  if (!read(answer, reply) || reply.token().empty()) return {};
  return reply.token();
}

}  // namespace wrackline
