#include "presence_request.h"

#include <proving.pb.h>

#include "replica/pin_watch.h"
#include "replica/replica.h"

namespace wrackline {

Result<Bytes> prove_presence(Replica& replica, const PublicKey& device, ByteView request) {
  proto::PresenceRequest wanted;
  if (!wanted.ParseFromArray(request.data(), static_cast<int>(request.size())) || !wanted.has_person() || wanted.pin().empty()) {
    return fail(ErrorCode::kMalformed, "reading a request to prove who is at a device: the body is not the message it should be; nothing was noted");
  }
  const RecordId person{LogId{wanted.person().log()}, wanted.person().seq()};
  if (!wanted.pin_mark().empty() && wanted.pin_mark().size() != sizeof(Hash)) {
    return fail(ErrorCode::kMalformed, "reading a request to prove who is at a device: the mark of the PIN is none; nothing was noted");
  }
  WRACKLINE_TRY(check_pin_shown(replica, person, wanted.pin(), device));
  WRACKLINE_TRY_VALUE(presence, replica.note_presence(person, device, wanted.pin_mark()));
  proto::PresenceReply reply;
  reply.mutable_presence()->set_log(presence.record.log.value);
  reply.mutable_presence()->set_seq(presence.record.seq);
  reply.set_until_ms(presence.until);
  return reply.SerializeAsString();
}

}  // namespace wrackline
