#include "act.h"

#include <proving.pb.h>

#include "call/dispatch.h"
#include "replica/at_hub.h"
#include "replica/pin_watch.h"
#include "replica/pins.h"
#include "replica/replica.h"

namespace wrackline {

Result<Bytes> act(Replica& replica, const PublicKey& device, ByteView request) {
  proto::ActRequest wanted;
  if (!wanted.ParseFromArray(request.data(), static_cast<int>(request.size())) || !wanted.has_person() || wanted.pin().empty() ||
      wanted.what_case() == proto::ActRequest::WHAT_NOT_SET) {
    return fail(ErrorCode::kMalformed, "reading a request to write at the hub: the body is not the message it should be; nothing was written");
  }
  const RecordId person{LogId{wanted.person().log()}, wanted.person().seq()};
  WRACKLINE_TRY(check_pin_shown(replica, person, wanted.pin(), device));
  WRACKLINE_TRY(replica.note_presence(person, device));
  WRACKLINE_TRY_VALUE(known, replica.devices().find(device));
  const AtHub asked{person, known.record};
  proto::ActReply reply;
  if (wanted.has_pin_code_for()) {
    const RecordId whose{LogId{wanted.pin_code_for().log()}, wanted.pin_code_for().seq()};
    WRACKLINE_TRY_VALUE(code, give_pin_code(replica, asked, whose));
    reply.set_pin_code(code);
    reply.set_expires_ms(replica.now() + Pins::kCodeMs);
  } else {
    reply.set_reply(dispatch_at_hub(replica, wanted.call(), asked));
  }
  return reply.SerializeAsString();
}

}  // namespace wrackline
