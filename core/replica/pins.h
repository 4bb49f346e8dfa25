// The hub's part of PINs: whose PIN is which, known to hubs alone (store/hub_secrets.h).
//
// Somebody gets a PIN by a one-time code, which an admin has the hub make; with that, or with the PIN before, they choose their own at
// any device that reaches the hub. So nobody knows another's PIN. The person's record says since when they have one, and no more.
//
// Threads: one at a time. Lifetime: the store outlives it.
#pragma once

#include <functional>
#include <string>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "replica/wrong_pins.h"
#include "store/store.h"

namespace wrackline {

class Pins {
 public:
  static constexpr WallMs kCodeMs = 3 * kDayMs;  // So long a one-time code is good.

  Pins(Store& store, Bytes key, std::function<WallMs()> wall_clock)
      : store_(store), key_(std::move(key)), wall_clock_(wall_clock), wrong_(store, std::move(wall_clock)) {}

  // Whether it is the person's. `asker` names the device that asks. Errors: kWrongPin (it is not, or they have none),
  // kRateLimited, kNotFound (no such person in account), kStorage and its kin.
  Status check(RecordId person, ByteView pin, const std::string& asker);
  // The same for whoever chooses another: their PIN or their one-time code.
  Status check_for_another(RecordId person, ByteView secret, const std::string& asker);

  // How often in a row the person's PIN, or their code, was wrong when that device asked.
  Result<WrongPins::Run> wrong_in_a_row(RecordId person, const std::string& asker) { return wrong_.in_a_row(WrongPins::key(person, asker)); }

  // Within a Write: gives the person a PIN, and takes back their code. Errors: kInvalid (no good PIN; the message says why), kNotFound.
  Status set(RecordId person, ByteView pin);
  // Within a Write: what one has been made before is good no longer. Told once, here. Errors: kNotFound.
  Result<std::string> make_code(RecordId person);

 private:
  Result<Bytes> name_of(RecordId person);
  Result<bool> is_code(RecordId person, ByteView secret);
  Status check_any(RecordId person, ByteView secret, const std::string& asker, bool codes_too);

  Store& store_;
  Bytes key_;
  std::function<WallMs()> wall_clock_;
  WrongPins wrong_;
};

}  // namespace wrackline
