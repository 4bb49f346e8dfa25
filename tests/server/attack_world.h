// This file says what every attack needs: a serving hub with a keeper's device and its records, a thief's enrolled device, somebody who asks after the hub's health,
// and a look afterwards at whether anything changed. Counts the cases tried and those without effect; main.cc
// of the attack suite prints both.
#pragma once

#include <exchange.pb.h>

#include <memory>
#include <string>

#include "health_watch.h"
#include "raw_tls.h"
#include "test_device.h"

namespace wrackline {

// One attempt. True when it was refused, or, where the protocol lets anybody repeat a thing, had no effect.
bool tried(bool refused);
struct AttackTally {
  int tried = 0;
  int refused = 0;
};
AttackTally& attack_tally();

struct AttackWorld {
  AttackWorld() : AttackWorld(RunningHub::Options{}) {}
  explicit AttackWorld(RunningHub::Options options);
  // Fails the test unless the hub runs, serves the keeper, holds what it held, and logged no secret.
  ~AttackWorld();

  // Short deadlines where a test waits for one, others that a loaded machine keeps, and no limit on how much is asked.
  static RunningHub::Options quick();

  // A whole HTTP request, in a session where one is given: good for one time.
  std::string request(const std::string& path, const std::string& body, HubSession* session = nullptr) const;
  // Sends it on a connection of its own; the status, 0 when the hub only closed.
  int ask(const std::string& whole_request, const char* address = "127.0.0.1");
  std::uint64_t hub_changes();
  void check_unchanged();

  RunningHub hub;
  std::unique_ptr<TestDevice> keeper, thief;
  std::string digest_before;
  std::uint64_t changes_before = 0;
  std::vector<std::string> secrets;  // Must not be in the hub's log.
  std::unique_ptr<HealthWatch> health;
};

}  // namespace wrackline
