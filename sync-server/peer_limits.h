// This file says what the hub allows a peer: bytes, seconds, connections. A peer that passes one loses its connection or
// gets an answer that says so; no other peer notices.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>

#include "handshake_quota.h"
#include "rate_limiter.h"
#include "sessions.h"

namespace wrackline {

struct PeerLimits {
  // Bytes.
  std::uint32_t header_bytes_max = 16 << 10;
  std::size_t body_bytes_max = 4 << 20;  // With a session.
  std::size_t body_bytes_before_session_max = 64 << 10;
  // The most bytes of a call: a message in memory is up to a hundred times its bytes, and no question needs
  // more.
  std::size_t query_bytes_max = 256 << 10;

  // Each deadline is for the whole step, so that a byte now and then does not prolong it.
  std::chrono::seconds handshake{10};
  std::chrono::seconds header{10};  // From the end of the handshake, or the first byte on.
  std::chrono::seconds body{120};   // 4 MiB at 35 kB/s: a tablet at the far end of the house.
  std::chrono::seconds body_before_session{20};
  std::chrono::seconds write{120};
  std::chrono::seconds idle{60};     // Between two requests on one connection.
  std::chrono::seconds news{25};     // For news, before it is said that there are none; below what proxies wait for.
  std::chrono::seconds farewell{2};  // To read what a refused peer is still sending.
  std::chrono::seconds stop{10};     // For running requests when the hub stops.

  std::chrono::milliseconds session{Sessions::kLifetimeMs};  // Then the device opens another.

  // Requests and bytes in a minute. A tablet that takes in a million changes for the first time asks a few dozen
  // times; an address may be a whole house behind one router.
  // The hub works for one at a time: a third of a minute is a device's share where others wait.
  RateLimit of_device{1200, 256ull << 20, 20'000};
  RateLimit of_address{6000, 1024ull << 20, 45'000};
  // The limit of a device for parts of files, beside what it may ask for otherwise.
  RateLimit of_files{600, 128ull << 20, 20'000};

  // After so long no further log of an exchange is looked at; what is left comes with the next.
  std::chrono::milliseconds exchange{1'000};
  // The hub is not well when one piece of work has taken so long.
  std::chrono::milliseconds stuck{60'000};

  // Connections. One facility has tens of devices, often behind one address; each may wait for news on a second one.
  std::size_t connections_max = 512;
  std::size_t connections_per_address_max = 128;
  // The limit of an address. A house whose tablets all come back at once, each with two connections, is let
  // in at once.
  HandshakeLimit handshakes{128, 10};
};

}  // namespace wrackline
