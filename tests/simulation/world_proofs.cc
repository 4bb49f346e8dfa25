#include <records.pb.h>

#include "model/kinds.h"
#include "model/presence.h"
#include "simulation/world.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kProofHours = 1;  // So that proofs end within a schedule.

}  // namespace

void World::ask_for_proofs() {
  proto::Facility facility;
  facility.set_name("Test Pier");
  facility.set_time_zone("Etc/UTC");
  facility.set_proof_required(true);
  facility.set_proof_hours(kProofHours);
  // Sealed at once: a hub whose key is lost drops what it had not sealed, and would ask for nothing any more.
  const auto asked = run(*hub_, "asking for proofs", [&](Replica& r) -> Status {
    WRACKLINE_TRY(r.log_unauthored({{static_cast<std::uint32_t>(Kind::kFacility), facility.SerializeAsString()}}));
    return r.author().seal();
  });
  expect(asked.has_value(), "the hub could not ask for proofs");
  asks_for_proofs_ = true;
}

void World::prove(Site& site, RecordId person) {
  Site& hub = any_hub();
  if (!hub.replica) return;
  const PublicKey device = site.keystore->public_key();
  const WallMs from = hub.clock;
  const auto noted = run(hub, "proving somebody", [&](Replica& r) { return r.note_presence(person, device); });
  if (!noted) return;
  note("somebody proven");
  proven_.push_back({person, device, from, noted->until});
}

bool World::has_proven(RecordId person, const PublicKey& device, WallMs stamped) const {
  for (const Proven& each : proven_) {
    if (each.person == person && each.device == device && stamped + kPresenceGraceMs >= each.from && stamped <= each.until) return true;
  }
  return false;
}

}  // namespace wrackline
