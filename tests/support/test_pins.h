// PINs, as people get them: chosen at the hub, and known to a device once they were proven there.
#pragma once

#include <proving.pb.h>

#include <string>

#include "call/dispatch.h"
#include "replica/at_hub.h"
#include "replica/pins.h"
#include "support/shift.h"

namespace wrackline {

// The hub gives them this PIN; devices hear that they have one.
inline void give_pin(Facility& facility, RecordId person, const std::string& pin) {
  facility.exchange_all();
  must(set_pin_at_machine(*facility.hub().replica, person, pin, "for a test"));
  facility.exchange_all();
}

// They prove it to the hub from this device, as an app does. False when the hub says that it is not theirs.
inline bool prove_pin(Facility& facility, Device& device, RecordId person, const std::string& pin) {
  proto::Call call;
  *call.mutable_prove()->mutable_person() = ref_of(person);
  call.mutable_prove()->set_pin(pin);
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(dispatch(*device.replica, call.SerializeAsString())));
  proto::PresenceRequest request;
  REQUIRE(request.ParseFromString(reply.prove().request()));
  Replica& hub = *facility.hub().replica;
  if (!hub.pins().check(person, request.pin(), device.name)) return false;
  must(hub.note_presence(person, device.keystore->public_key(), request.pin_mark()));
  facility.exchange_all();
  return true;
}

}  // namespace wrackline
