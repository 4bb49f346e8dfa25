#include "hosts/hub_address.h"

#include <algorithm>
#include <charconv>

namespace wrackline {
namespace {

bool is_host_character(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '.' ||
         c == '_' || c == ':';
}

}  // namespace

Result<HubAddress> parse_hub_address(std::string_view text) {
  const auto invalid = [](const std::string& what) {
    return fail(ErrorCode::kInvalid,
                "reading the hub's address: " + what +
                    "; write it as NAME:PORT, such as hub.example.org:8443 or [2001:db8::7]:8443");
  };
  while (!text.empty() && static_cast<unsigned char>(text.front()) <= ' ') text.remove_prefix(1);
  while (!text.empty() && static_cast<unsigned char>(text.back()) <= ' ') text.remove_suffix(1);
  if (text.substr(0, 8) == "https://") text.remove_prefix(8);
  if (!text.empty() && text.back() == '/') text.remove_suffix(1);
  HubAddress address;
  address.port = kHubPort;
  std::string_view port;
  if (!text.empty() && text.front() == '[') {
    const auto close = text.find(']');
    if (close == std::string_view::npos) return invalid("the bracket is not closed");
    address.host = text.substr(1, close - 1);
    const auto rest = text.substr(close + 1);
    if (!rest.empty() && rest.front() != ':') return invalid("after the bracket comes only a port");
    port = rest.empty() ? rest : rest.substr(1);
    if (!rest.empty() && port.empty()) return invalid("the port is missing after the colon");
  } else if (std::count(text.begin(), text.end(), ':') > 1) {
    address.host = text;  // An IPv6 address without a port.
  } else {
    const auto colon = text.find(':');
    address.host = text.substr(0, colon);
    if (colon != std::string_view::npos) {
      port = text.substr(colon + 1);
      if (port.empty()) return invalid("the port is missing after the colon");
    }
  }
  if (address.host.empty()) return invalid("it names no machine");
  if (!std::all_of(address.host.begin(), address.host.end(), is_host_character))
    return invalid("a machine's name has letters, digits, points and hyphens only");
  if (!port.empty()) {
    const auto [stop, error] = std::from_chars(port.data(), port.data() + port.size(), address.port);
    if (error != std::errc() || stop != port.data() + port.size())
      return invalid("the port is no number up to 65535");
  }
  return address;
}

std::string to_text(const HubAddress& address) {
  const bool is_v6 = address.host.find(':') != std::string::npos;
  return (is_v6 ? "[" + address.host + "]" : address.host) + ":" + std::to_string(address.port);
}

}  // namespace wrackline
