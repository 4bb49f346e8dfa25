#include "hub_requests.h"

#include <exchange.pb.h>

#include "crypto/texts.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kRequestProtocol = 1;

Unexpected strange_answer(const std::string& doing) {
  return fail(ErrorCode::kTransport,
              doing + ": what answered is no hub of this release; nothing was kept. Check the hub's address");
}

}  // namespace

Result<Enrolment> enrol(HubClient& client, std::string_view code, Keystore& keystore,
                        const std::string& device_name) {
  const PublicKey key = keystore.public_key();
  WRACKLINE_TRY_VALUE(signature, keystore.sign(enrolment_text(code, key)));
  proto::EnrolRequest request;
  request.set_protocol(kRequestProtocol);
  request.set_code(std::string(code));
  request.set_device_key(Bytes(view(key)));
  request.set_device_name(device_name);
  request.set_signature(Bytes(view(signature)));
  WRACKLINE_TRY_VALUE(answer, client.post("/v1/enrol", request.SerializeAsString()));
  proto::EnrolReply reply;
  Enrolment enrolment;
  if (!reply.ParseFromString(answer) || !copy_exactly(reply.facility(), enrolment.facility) ||
      !copy_exactly(reply.hub_key(), enrolment.hub_key)) {
    return strange_answer("enrolling this device");
  }
  enrolment.facility_name = reply.facility_name();
  enrolment.pin_key = reply.pin_key();
  return enrolment;
}

Status replace_key(HubClient& client, std::string_view token, const FacilityId& facility, Keystore& before,
                   Keystore& next) {
  const Bytes text = rekey_text(facility, before.public_key(), next.public_key());
  WRACKLINE_TRY_VALUE(by_next, next.sign(text));
  WRACKLINE_TRY_VALUE(by_before, before.sign(text));
  proto::RekeyRequest request;
  request.set_protocol(kRequestProtocol);
  request.set_new_key(Bytes(view(next.public_key())));
  request.set_new_signature(Bytes(view(by_next)));
  request.set_old_signature(Bytes(view(by_before)));
  WRACKLINE_TRY_VALUE(answer, client.post("/v1/rekey", request.SerializeAsString(), token));
  proto::RekeyReply reply;
  if (!reply.ParseFromString(answer) || ByteView(reply.device_key()) != view(next.public_key()))
    return strange_answer("changing this device's key");
  return {};
}

Result<std::string> open_session(HubClient& client, const FacilityId& facility, Keystore& keystore) {
  proto::SessionRequest request;
  request.set_protocol(kRequestProtocol);
  request.set_device_key(Bytes(view(keystore.public_key())));
  WRACKLINE_TRY_VALUE(first, client.post("/v1/session", request.SerializeAsString()));
  proto::SessionReply challenge;
  if (!challenge.ParseFromString(first) || challenge.nonce().size() != 32)
    return strange_answer("opening a session");
  WRACKLINE_TRY_VALUE(signature, keystore.sign(session_text(facility, challenge.nonce())));
  request.set_nonce(challenge.nonce());
  request.set_signature(Bytes(view(signature)));
  WRACKLINE_TRY_VALUE(second, client.post("/v1/session", request.SerializeAsString()));
  proto::SessionReply reply;
  if (!reply.ParseFromString(second) || reply.token().empty()) return strange_answer("opening a session");
  return reply.token();
}

}  // namespace wrackline
