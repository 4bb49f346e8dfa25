#include "invitation.h"

#include <call.pb.h>
#include <invite.pb.h>

#include "call/dispatch.h"
#include "model/authority.h"
#include "replica/pin_watch.h"
#include "replica/replica.h"

namespace wrackline {

Result<Bytes> invite(Replica& replica, EnrolmentCodes& codes, const PublicKey& device, ByteView request, WallMs now) {
  proto::InviteRequest wanted;
  if (!wanted.ParseFromArray(request.data(), static_cast<int>(request.size())) || !wanted.has_admin() || wanted.pin().empty()) {
    return fail(ErrorCode::kMalformed, "reading a request to invite a device: the body is not the message it should be; nothing was made");
  }
  const RecordId admin{LogId{wanted.admin().log()}, wanted.admin().seq()};
  // Judged before the role, so that a wrong PIN does not tell who is an admin.
  WRACKLINE_TRY(check_pin_shown(replica, admin, wanted.pin(), device));
  proto::Call look;
  *look.mutable_get()->mutable_record() = wanted.admin();
  proto::Reply person;
  if (!person.ParseFromString(dispatch(replica, look.SerializeAsString(), CallScope::kReadOnly)) || person.has_failure()) {
    return fail(ErrorCode::kInternal, "inviting a device: the admin's record cannot be read; nothing was made; try again");
  }
  if ((roles_of_person(person.get().record().fields()) & roles_for(Authority::kDevices)) == 0) {
    return fail(ErrorCode::kUnauthorized, "inviting a device: that takes " + role_words(roles_for(Authority::kDevices)) +
                                              "; nothing was made; ask one");
  }
  WRACKLINE_TRY_VALUE(known, replica.devices().find(device));
  WRACKLINE_TRY_VALUE(code, codes.make(now, kInvitationMs, {admin, known.record}));
  proto::InviteReply reply;
  reply.set_code(code);
  reply.set_expires_ms(now + kInvitationMs);
  return reply.SerializeAsString();
}

}  // namespace wrackline
