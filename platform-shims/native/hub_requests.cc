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
