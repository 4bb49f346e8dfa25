// A hub served by the real program, alone or behind a shared log.
#pragma once

#include <string>

#include "child.h"
#include "hosts/hub_client.h"
#include "hub_directory.h"
#include "scratch.h"

namespace wrackline {

class HubProcess {
 public:
  // Makes a hub called "Test Pier" with the admin Ada. `log` is the shared log's address; empty: it is alone.
  explicit HubProcess(std::string log = {});
  // Another hub of the same facility, made from a backup with its keys, as the README says.
  HubProcess(const HubProcess& first, std::string log);
  HubProcess& operator=(const HubProcess&) = delete;

  // At the port it had before, if it ran before. False when it did not come up.
  bool try_start();
  void start();
  void kill(int signal = SIGKILL);
  bool is_running() { return child_.is_running(); }

  HubClient::Options client_options() const;
  std::string new_code() const;
  std::string log() const { return content_of(scratch / "log"); }

  Scratch scratch;
  HubDirectory directory;

 private:
  std::string shared_log_;
  Child child_;
  std::uint16_t port_ = 0;
};

}  // namespace wrackline
