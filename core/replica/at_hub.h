// This file says what the hub writes for somebody who asks with their PIN, and the PINs themselves.
//
// Each is one transaction: what is written, who asked for it and from where (sync/hub_acts.h), sealed. Who asks has had their PIN
// checked (replica/pins.h).
//
// Threads: one at a time.
#pragma once

#include <map>
#include <string>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/log_class.h"
#include "base/result.h"

namespace wrackline {

class Replica;

struct AtHub {
  RecordId person;
  RecordId device;  // The record of the device they ask from.
};

// Within a Write: says of what this hub has written since its logs ended at `before` (Author::heads()) who asked for it, and seals it.
Status note_asked(Replica& hub, const AtHub& asked, const std::map<LogClass, ChangeId>& before);

// Gives somebody the PIN they have chosen. Their record says since when they have it. Errors: kInvalid (no good PIN; the message says
// why), kNotFound, kStorage and its kin.
Status choose_pin(Replica& hub, const AtHub& asked, ByteView pin);
// The same by whoever runs the hub, who has a reason for it.
Status set_pin_at_machine(Replica& hub, RecordId person, ByteView pin, const std::string& reason);

// Makes a one-time code by which `person` can choose a PIN. Their record says when, and who asked; who asks is an admin.
// Errors: kUnauthorized, kNotFound, kStorage and its kin.
Result<std::string> give_pin_code(Replica& hub, const AtHub& asked, RecordId person);
Result<std::string> give_pin_code_at_machine(Replica& hub, RecordId person, const std::string& reason);

}  // namespace wrackline
