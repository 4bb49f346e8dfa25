#include "invitation.h"

#include <invite.pb.h>

#include "call/handlers.h"
#include "model/authority.h"
#include "replica/replica.h"
#include "replica/sign_in.h"

namespace wrackline {

Result<Bytes> invite(Replica& replica, EnrolmentCodes& codes, ByteView request, WallMs now) {
  proto::InviteRequest wanted;
  if (!wanted.ParseFromArray(request.data(), static_cast<int>(request.size())) || !wanted.has_admin() || wanted.pin().empty()) {
    return fail(ErrorCode::kMalformed, "reading a request to invite a device: the body is not the message it should be; nothing was made");
  }
  const RecordId admin = id_of(wanted.admin());
  // Judged before the role, so that a wrong PIN does not tell who is an admin.
  WRACKLINE_TRY_VALUE(token, replica.sign_in().open(admin, wanted.pin(), {}));
  WRACKLINE_TRY(replica.sign_in().close(token));
  WRACKLINE_TRY_VALUE(record, require_record(replica, admin, "inviting a device"));
  if ((roles_of_person(record.fields) & roles_for(Authority::kDevices)) == 0) {
    return fail(ErrorCode::kUnauthorized, "inviting a device: that takes " + role_words(roles_for(Authority::kDevices)) +
                                              "; nothing was made; ask one");
  }
  WRACKLINE_TRY_VALUE(code, codes.make(now, kInvitationMs));
  proto::InviteReply reply;
  reply.set_code(code);
  reply.set_expires_ms(now + kInvitationMs);
  return reply.SerializeAsString();
}

}  // namespace wrackline
