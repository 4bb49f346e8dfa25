// This file says what a device asks of its hub before it can exchange records, over the network: to be enrolled, a session, another key.
#pragma once

#include <string>
#include <string_view>

#include "base/ids.h"
#include "crypto/signing.h"
#include "hosts/hub_client.h"
#include "sync/hub_requests.h"

namespace wrackline {

// Hands in a one-time code and the keystore's public key. `code` may have hyphens, spaces and small letters.
// When the answer got lost on the way, the same code and key may be handed in again while the code lasts.
// Errors: kUnauthorized (no such code, used or too old), kRateLimited, and those of HubClient::post.
Result<Enrolment> enrol(HubClient& client, std::string_view code, Keystore& keystore,
                        const std::string& device_name);

// Opens a session by signing the hub's nonce with the device key. It lasts hours, and ends when the hub restarts: on
// kUnauthorized from a later post, open another. The keystore outlives it.
// Errors: kUnknownDevice, kRevokedDevice, kKeystore, and those of HubClient::post.
Result<HubSession> open_session(HubClient& client, const FacilityId& facility, Keystore& keystore);

// Asks the hub to know this device by `next` from here on, in a session of `before`. It strikes `before`, whose sessions
// end. Asking again with the same keys is no error while the session lasts; when the answer was lost, a session that
// opens for `next` says as much.
// Errors: kUnauthorized, kRevokedDevice, kInvalid (a key that is in use), kKeystore, and those of HubClient::post.
Status replace_key(HubClient& client, HubSession& session, const FacilityId& facility, Keystore& before,
                   Keystore& next);

}  // namespace wrackline
