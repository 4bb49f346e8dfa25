// Presences say who has proved to the hub that they were at which device, and when.
//
// A presence is a record in the hub's own log (kind 36): the hub has checked the person's PIN in a session of the device's. It
// proves the author of what the device wrote between its two times, as far as nobody else wrote there meanwhile. Where there is
// none, who wrote a change is the device's word alone; which device it was is certain either way.
//
// Times of presences are the hub's, those of changes their device's; which of these they cover says model/presence.h. Whoever chooses
// another PIN ends what was proven with the one before.
//
// Threads: one at a time. Lifetime: the store and the devices outlive it.
#pragma once

#include <optional>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"
#include "store/store.h"
#include "sync/device_registry.h"
#include "sync/hub_words.h"

namespace wrackline {

class Presences {
 public:
  Presences(Store& store, DeviceRegistry& devices) : store_(store), devices_(devices), words_(store, devices, Kind::kPresence) {}

  // A change by `person` from the device with this key, by its stamp and by the hub's clock when the hub came to hold it.
  struct Question {
    RecordId person;
    PublicKey device{};
    WallMs stamped = 0;
    WallMs arrived = 0;
  };
  struct Proof {
    RecordId presence;
    WallMs until = 0;
  };
  // Answers the proof that holds longest, where several do; none where nothing proves it.
  Result<std::optional<Proof>> proof(const Question& question);
  // Whether the hub has seen this person prove a PIN of this mark (Presence.pin_mark) at the device with this key, from then on.
  Result<bool> has_proven(RecordId person, const PublicKey& device, const Hash& pin_mark, WallMs since);

 private:
  Store& store_;
  DeviceRegistry& devices_;
  HubWords words_;
};

}  // namespace wrackline
