// A device's session with its hub: how a request in it shows that this device asks.
//
// The hub gave a token when the session was opened. Each request has a header of its own:
//
//   Authorization: Wrackline TOKEN.NUMBER.BODY.SIGNATURE
//
// TOKEN has 64 hexadecimal digits, NUMBER is decimal and used once in a session, BODY is the SHA-256 of the body (64 digits), and
// SIGNATURE is the device's, of request_text() (128 digits). So who overhears a token, in a log, a memory or on a terminal, can ask
// nothing with it: they lack the device's key. Nor can they send a request that they overheard again, or with another body.
//
// The numbers need not come in order, since several requests may be on their way (sync-server/number_window.h says how far apart).
// A clock is no part of it, since a tablet's may be wrong.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"
#include "crypto/texts.h"

namespace wrackline {

inline constexpr std::string_view kAuthorizationScheme = "Wrackline";

// The parts of the header.
struct RequestAuthorization {
  std::string token;
  std::uint64_t number = 0;
  Hash body{};
  Signature signature{};
};
// None for anything but the one form above.
std::optional<RequestAuthorization> read_authorization(std::string_view header);
std::string to_text(const RequestAuthorization& authorization);

// The header for one request. Errors: kKeystore.
Result<std::string> authorize(const FacilityId& facility, Keystore& keystore, std::string_view token, std::uint64_t number,
                              const RequestHead& head, const Hash& body);

// An open session, or none. Threads: one at a time.
class HubSession {
 public:
  HubSession() = default;
  // The keystore outlives the session.
  HubSession(const FacilityId& facility, Keystore& keystore, std::string token)
      : facility_(facility), keystore_(&keystore), token_(std::move(token)) {}

  const std::string& token() const { return token_; }

  // The header for the next request; empty when no session is open. Each attempt needs its own. Errors: kKeystore.
  Result<std::string> authorize(const RequestHead& head, ByteView body);

 private:
  FacilityId facility_{};
  Keystore* keystore_ = nullptr;
  std::string token_;
  std::uint64_t asked_ = 0;
};

}  // namespace wrackline
