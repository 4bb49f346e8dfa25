// This file says what the hub of the server tests (test_hub.cc) is told, by a file of these bytes: it was built with the test that writes it.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>

#include "peer_limits.h"
#include "tls_context.h"

namespace wrackline {

struct TestHubOptions {
  using Text = std::array<char, 1024>;  // Ends with a zero.
  Text directory{}, address{}, port_file{};
  Text behind{};  // An address; none when it is empty.
  std::uint16_t port = 0;
  PeerLimits limits;
  TlsOptions tls;
  std::uint64_t blobs_bytes_max = 0;
  bool has_failing_disk = false;  // Full from SIGUSR1 on, until SIGUSR2.

  void write(const std::string& path) const;
  static std::optional<TestHubOptions> read(const std::string& path);
};

}  // namespace wrackline
