// A hub that serves in a program of its own (test_hub.cc) on a port of the loopback, as long as the object lives.
#pragma once

#include <signal.h>
#include <sys/types.h>

#include <string>

#include "hosts/hub_client.h"
#include "hub_directory.h"
#include "hub_files.h"
#include "peer_limits.h"
#include "scratch.h"
#include "tls_context.h"

namespace wrackline {

class RunningHub {
 public:
  // The hub's own, but that a test may open as many connections as it likes from one address.
  static PeerLimits plenty() {
    PeerLimits limits;
    limits.handshakes = {};
    return limits;
  }
  struct Options {
    std::string address = "127.0.0.1";  // One of the loopback's; certificates are for 127.0.0.1.
    PeerLimits limits = plenty();
    TlsOptions tls = {};
    std::uint64_t blobs_bytes_max = HubFiles::Options().bytes_max;
    std::string behind = {};
    bool proof_required = false;     // See InitOptions.
    bool has_failing_disk = false;   // Full from SIGUSR1 on, until SIGUSR2.
  };
  // Makes a hub called "Test Pier" with the admin Ada, and starts it.
  RunningHub() : RunningHub(Options{}) {}
  explicit RunningHub(Options options);
  RunningHub(const RunningHub&) = delete;
  RunningHub& operator=(const RunningHub&) = delete;
  ~RunningHub();

  // At the port it had before, if it ran before.
  void start();
  // Its exit status; -1 when it did not run or did not exit by itself.
  int stop(int signal = SIGTERM);
  bool is_running() const;

  pid_t pid() const { return child_; }
  std::uint16_t port() const { return port_; }
  HubClient::Options client_options() const;
  std::string new_code() const;
  std::string log() const;  // All it has logged.

  Scratch scratch;
  HubDirectory directory;

 private:
  Options options_;
  pid_t child_ = -1;
  std::uint16_t port_ = 0;
};

}  // namespace wrackline
