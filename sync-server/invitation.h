// An admin at a device makes a one-time code for another device: POST /v1/invite.
//
// A session proves the device and not the person, so the admin's PIN comes along and is checked here, against what hubs know (replica/pins.h):
// wrong ones are counted and slowed down as on any device. An admin without a PIN makes codes at the hub itself.
#pragma once

#include "base/bytes.h"
#include "enrolment_codes.h"

namespace wrackline {

class Replica;

inline constexpr WallMs kInvitationMs = 15 * 60 * 1000;

// A serialised InviteReply. `request` is an InviteRequest as it came. Errors: kMalformed; kWrongPin (or
// none is set), kUnauthorized (no admin), kRateLimited, kNotFound; those of EnrolmentCodes::make.
Result<Bytes> invite(Replica& replica, EnrolmentCodes& codes, const PublicKey& device, ByteView request, WallMs now);

}  // namespace wrackline
