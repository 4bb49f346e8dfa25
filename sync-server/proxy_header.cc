#include "proxy_header.h"

#include <algorithm>
#include <string_view>

namespace wrackline {
namespace {

constexpr std::string_view kSignature("\r\n\r\n\0\r\nQUIT\n", 12);
constexpr unsigned char kVersion2 = 0x20, kLocal = 0x0, kProxied = 0x1, kTcpOverIpv4 = 0x11, kTcpOverIpv6 = 0x21;
// Two addresses and two ports.
constexpr std::size_t kIpv4Bytes = 12, kIpv6Bytes = 36;

unsigned char byte_at(ByteView bytes, std::size_t at) { return static_cast<unsigned char>(bytes[at]); }

Unexpected no_header(const char* why) {
  return fail(ErrorCode::kMalformed, std::string("reading what a balancer says first: ") + why +
                                         "; the connection was closed; let it send the PROXY protocol, version 2, or take it out of --behind");
}

}  // namespace

Result<ProxyHeader> ProxyHeader::begin(ByteView first) {
  if (first.size() != kFirstBytes || first.substr(0, kSignature.size()) != kSignature) return no_header("it is no header of the PROXY protocol");
  const unsigned char version_and_command = byte_at(first, 12), family = byte_at(first, 13);
  if ((version_and_command & 0xf0) != kVersion2 || (version_and_command & 0x0f) > kProxied) return no_header("its version or command is not known");
  ProxyHeader out;
  out.rest_bytes_ = static_cast<std::size_t>(byte_at(first, 14)) << 8 | byte_at(first, 15);
  if (out.rest_bytes_ > kRestBytesMax) return no_header("it is longer than 1 KiB");
  if ((version_and_command & 0x0f) == kLocal) return out;
  if (family == kTcpOverIpv4) out.family_ = Family::kIpv4;
  if (family == kTcpOverIpv6) out.family_ = Family::kIpv6;
  return out;
}

Result<std::optional<boost::asio::ip::address>> ProxyHeader::peer(ByteView rest) const {
  namespace ip = boost::asio::ip;
  if (rest.size() != rest_bytes_) return no_header("it is cut short");
  switch (family_) {
    case Family::kNone:
      return std::optional<ip::address>();
    case Family::kIpv4: {
      if (rest.size() < kIpv4Bytes) return no_header("its address is cut short");
      ip::address_v4::bytes_type bytes;
      std::copy_n(rest.begin(), bytes.size(), bytes.begin());
      return std::optional<ip::address>(ip::address_v4(bytes));
    }
    case Family::kIpv6: {
      if (rest.size() < kIpv6Bytes) return no_header("its address is cut short");
      ip::address_v6::bytes_type bytes;
      std::copy_n(rest.begin(), bytes.size(), bytes.begin());
      return std::optional<ip::address>(ip::address_v6(bytes));
    }
  }
  return std::optional<ip::address>();
}

}  // namespace wrackline
