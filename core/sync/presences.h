// Who has proved to the hub that they were at which device, and when.
//
// A presence is a record in the hub's own log (kind 36): the hub has checked the person's PIN in a session of the device's. It
// proves the author of what the device wrote between its two times, as far as nobody else wrote there meanwhile. Where there is
// none, who wrote a change is the device's word alone; which device it was is certain either way.
//
// Times of presences are the hub's, those of changes their device's. A device that has heard of its presence stamps behind it
// (log/hybrid_clock.h); until it has, its clock may be behind, so a change may be some minutes older than the presence.
//
// Threads: one at a time. Lifetime: the store and the devices outlive it.
#pragma once

#include <map>
#include <optional>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "store/store.h"
#include "sync/device_registry.h"

namespace wrackline {

class Presences {
 public:
  static constexpr WallMs kBeforeMs = 10 * 60 * 1000;

  Presences(Store& store, DeviceRegistry& devices) : store_(store), devices_(devices) {}

  // The presence that proves that `person` wrote with a stamp of that time on the device with this key; of
  // several, the one that holds longest. None: nothing does.
  Result<std::optional<RecordId>> proof(RecordId person, const PublicKey& device, WallMs stamped);
  // Until when; 0 without one.
  Result<WallMs> proven_until(RecordId person, const PublicKey& device, WallMs stamped);

 private:
  struct Span {
    RecordId presence, device;
    WallMs from = 0, until = 0;
  };
  Result<const std::vector<Span>*> of_person(RecordId person);
  Result<const Span*> find(RecordId person, const PublicKey& device, WallMs stamped);

  Store& store_;
  DeviceRegistry& devices_;
  std::map<RecordId, std::vector<Span>> people_;
  std::uint64_t read_at_ = ~0ull;  // Projection::changes_of() then.
};

}  // namespace wrackline
