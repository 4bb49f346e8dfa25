// This file says what a balancer in front of the hub says first on each connection: from whom it comes. Source: "The PROXY protocol, versions 1 & 2"
// (a document of its own, revision of 2020), section 2.2, version 2 over TCP.
//
// Without it everybody behind a balancer would be counted as one address. It is read from configured balancers alone, since anybody
// could write one.
#pragma once

#include <boost/asio/ip/address.hpp>
#include <cstddef>
#include <optional>

#include "base/bytes.h"
#include "base/result.h"

namespace wrackline {

class ProxyHeader {
 public:
  static constexpr std::size_t kFirstBytes = 16;
  // The most bytes of addresses and additions behind them, which nobody reads.
  static constexpr std::size_t kRestBytesMax = 1024;

  // From the first kFirstBytes. Errors: kMalformed when they begin no header of version 2 over TCP.
  static Result<ProxyHeader> begin(ByteView first);
  std::size_t rest_bytes() const { return rest_bytes_; }

  // From the rest, of rest_bytes(). Nothing when the balancer speaks for itself (its own look at whether the hub lives) or names no
  // address of the Internet; who it is then is the balancer. Errors: kMalformed when an address was announced and is not whole.
  Result<std::optional<boost::asio::ip::address>> peer(ByteView rest) const;

 private:
  enum class Family { kNone, kIpv4, kIpv6 };
  Family family_ = Family::kNone;
  std::size_t rest_bytes_ = 0;
};

}  // namespace wrackline
