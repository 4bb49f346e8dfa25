#include "hosts/device_requests.h"

#include <exchange.pb.h>

#include "crypto/texts.h"
#include "sync/hub_requests.h"

namespace wrackline {
namespace {

Unexpected strange_answer(const std::string& doing) {
  return fail(ErrorCode::kTransport,
              doing + ": what answered is no hub of this release; nothing was kept. Check the hub's address");
}

}  // namespace

Result<Enrolment> enrol(HubClient& client, std::string_view code, Keystore& keystore,
                        const std::string& device_name) {
  WRACKLINE_TRY_VALUE(request, enrol_request(code, keystore, device_name));
  WRACKLINE_TRY_VALUE(answer, client.post("/v1/enrol", request));
  const auto enrolment = read_enrol_reply(answer);
  if (!enrolment) return strange_answer("enrolling this device");
  return *enrolment;
}

Status replace_key(HubClient& client, HubSession& session, const FacilityId& facility, Keystore& before,
                   Keystore& next) {
  const Bytes text = rekey_text(facility, before.public_key(), next.public_key());
  WRACKLINE_TRY_VALUE(by_next, next.sign(text));
  WRACKLINE_TRY_VALUE(by_before, before.sign(text));
  proto::RekeyRequest request;
  request.set_protocol(kRequestProtocol);
  request.set_new_key(Bytes(view(next.public_key())));
  request.set_new_signature(Bytes(view(by_next)));
  request.set_old_signature(Bytes(view(by_before)));
  WRACKLINE_TRY_VALUE(answer, client.post("/v1/rekey", request.SerializeAsString(), &session));
  proto::RekeyReply reply;
  if (!reply.ParseFromString(answer) || ByteView(reply.device_key()) != view(next.public_key()))
    return strange_answer("changing this device's key");
  return {};
}

Result<HubSession> open_session(HubClient& client, const FacilityId& facility, Keystore& keystore) {
  WRACKLINE_TRY_VALUE(asked, session_request(facility, keystore, {}));
  WRACKLINE_TRY_VALUE(first, client.post("/v1/session", asked));
  const auto nonce = read_session_nonce(first);
  if (!nonce) return strange_answer("opening a session");
  WRACKLINE_TRY_VALUE(signed_request, session_request(facility, keystore, *nonce));
  WRACKLINE_TRY_VALUE(second, client.post("/v1/session", signed_request));
  const auto token = read_session_token(second);
  if (!token) return strange_answer("opening a session");
  return HubSession(facility, keystore, *token);
}

}  // namespace wrackline
