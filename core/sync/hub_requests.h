// This file says what a device says to the hub before it exchanges: that it wants in, and that it is who it says. Bytes only; how they get
// there is the shim's (platform-shims/hosts/device_requests.h, the tablet's worker).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"

namespace wrackline {

// How a device and a hub talk before they exchange; the exchange counts its own.
inline constexpr std::uint32_t kRequestProtocol = 1;

// The hub says this of itself to a device it lets in. The device keeps all of it: with its own name this is its
// Membership.
struct Enrolment {
  FacilityId facility{};
  std::string facility_name;
  PublicKey hub_key{};
};

// The body of POST /v1/enrol. `code` may have hyphens, spaces and small letters. Errors: kKeystore.
Result<Bytes> enrol_request(std::string_view code, Keystore& keystore, const std::string& device_name);
// None when the answer is not one to it.
std::optional<Enrolment> read_enrol_reply(ByteView answer);

// The bodies of POST /v1/session: the first with no nonce, the second with the one it was answered with. Errors: kKeystore.
Result<Bytes> session_request(const FacilityId& facility, Keystore& keystore, ByteView nonce);
// The nonce of the first answer (32 bytes), the token of the second; none when it is no such answer.
std::optional<Bytes> read_session_nonce(ByteView answer);
std::optional<std::string> read_session_token(ByteView answer);

}  // namespace wrackline
