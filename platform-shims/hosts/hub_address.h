// Where a hub is found: "hub.example.org:8443", "192.0.2.7:8443", "[2001:db8::7]:8443".
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.h"

namespace wrackline {

struct HubAddress {
  std::string host;  // A name or an IP address, without brackets.
  std::uint16_t port = 0;
};

inline constexpr std::uint16_t kHubPort = 8443;  // Where an address names none.

// Takes "https://" in front and white space around, as people paste it. Errors: kInvalid, with what is wrong.
Result<HubAddress> parse_hub_address(std::string_view text);
// The address as people type it; an IPv6 address in brackets.
std::string to_text(const HubAddress& address);

}  // namespace wrackline
