// A serving hub that asks for proofs, its people with their PINs, and a thief with an enrolled tablet, who knows everybody's PIN but
// the admin's.
#pragma once

#include <string>
#include <vector>

#include "attack_world.h"

namespace wrackline {

struct ProvingWorld : AttackWorld {
  static constexpr const char* kPin = "824613";         // Ada's, the admin's.
  static constexpr const char* kKnownPin = "593047";    // The PIN of Otto, Vera and Kim.

  RecordId ada, otto, vera, kim, home;

  ProvingWorld();
  ~ProvingWorld();
  // A hold laid meanwhile is no effect of the attack that comes next.
  void rebase();

  // The people, roles, devices, limits and rules that count, as a replica shows them.
  static std::vector<std::string> authority_in(Replica& replica);
  // Everything has met everything; whether the hub and both devices show that, still.
  bool is_unchanged();

  // Within a session of the device's; the thief's core has its own ways.
  Result<Bytes> prove(TestDevice& device, RecordId person, const std::string& pin);
  Result<Bytes> choose_pin(TestDevice& device, RecordId person, const std::string& secret, const std::string& pin);
  // A serialised ActReply.
  Result<Bytes> act(TestDevice& device, RecordId person, const std::string& pin, const Bytes& call);
  RecordId device_of(TestDevice& device);

 private:
  std::vector<std::string> before_;
};

}  // namespace wrackline
