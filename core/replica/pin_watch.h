// Checks PINs that devices show to the hub, and has the hub write down that somebody's is tried.
//
// The third wrong one in a row for a person from one device, and each later one, makes the hub write a record of kind 38 into its own
// log, at most once an hour for a person, so that whoever tries on fills no log. Everybody's list of what needs attention shows it
// (husbandry/attention_people.cc).
//
// Threads: one at a time.
#pragma once

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"

namespace wrackline {

class Replica;

inline constexpr WallMs kPinWarningEveryMs = 60 * kMinuteMs;

// Whether it is the person's PIN; see Pins::check() for the errors. `device` asks.
Status check_pin_shown(Replica& hub, RecordId person, ByteView pin, const PublicKey& device);
// The same for whoever chooses another PIN: the one so far, or a one-time code.
Status check_pin_or_code_shown(Replica& hub, RecordId person, ByteView secret, const PublicKey& device);

}  // namespace wrackline
