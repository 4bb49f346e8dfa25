// This file knows who is at this device: people sign in by PIN, and for a while what is written in their name
// is believed.
//
// A device knows the PIN of those who have proved themselves to the hub from it, by a hash that only it can check
// (crypto/pin_hash.h); another PIN, chosen elsewhere, makes that void. Whom it does not know yet it lets write care by name.
//
// A session is a random token that the app keeps and shows with each call that writes. It ends when nobody wrote for the
// facility's lock time, twelve hours after it began, with its person's PIN, or by hand-over to the next person. A
// device has eight at most; the ninth takes the place of the one unused for longest. Only hashes of tokens are kept. All of it is
// this device's own and is in no log.
//
// It stops a hand at somebody else's tablet. It does not stop who has the device's key: which device wrote a
// change is proven, which of its people did is the device's word, unless the hub knows better (sync/presences.h).
//
// Threads: one at a time. Lifetime: all that it is given outlives it.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"
#include "model/sign_in_rules.h"
#include "replica/wrong_pins.h"
#include "store/store.h"
#include "sync/presences.h"

namespace wrackline {

class SignIn {
 public:
  SignIn(Store& store, Presences& presences, Keystore& keystore, std::function<WallMs()> wall_clock)
      : store_(store), presences_(presences), keystore_(&keystore), wall_clock_(wall_clock), wrong_(store, std::move(wall_clock)) {}

  // The device goes on under another key: what it knew of PINs is void.
  void change_key(Keystore& next) { keystore_ = &next; }

  struct Session {
    RecordId person;
    WallMs began_ms = 0;
    WallMs used_ms = 0;
    WallMs ends_ms = 0;  // Unless it is used before.
  };

  // Opens a session; the token is 32 bytes. `instead_of` is a token whose session ends with it, or empty.
  // Errors: kWrongPin (it is not; or they have none at all), kRateLimited (wait; the message says how long),
  // kNotFound (no such person in account; or the PIN is not known here), kStorage and its kin.
  Result<Bytes> open(RecordId person, ByteView pin, ByteView instead_of);

  // Keeps a hash of what may be the person's PIN, and gives its mark: when the hub's record of their proof names it (Presence.pin_mark),
  // this device knows the PIN. Errors: kNotFound, kKeystore, kStorage and its kin.
  Result<Hash> prepare(RecordId person, ByteView pin);

  // How much is known of somebody who writes.
  enum class Known {
    kBySession,   // They have signed in here.
    kWithoutPin,  // They have no PIN.
    kByName,      // They have one, and have never shown it here: care alone.
  };
  // Whether `person` may write with this token now; an open session is used by it, which is noted within the Write that
  // the caller has begun. Errors: kUnauthorized (they have to sign in; or the facility asks everybody for a PIN), kStorage and its kin.
  Result<Known> allow(RecordId person, ByteView token);

  // None when there is no such session, or it has ended.
  Result<std::optional<Session>> find(ByteView token);
  Status close(ByteView token);
  // Reads what the facility asks of people.
  Result<SignInPolicy> policy();

 private:
  struct Slot;
  Result<SignInPerson> find_person(RecordId person);
  Result<std::optional<Slot>> find_slot(ByteView token);
  // Hashes of the PIN they have now; none when it is not known here.
  Result<std::vector<Bytes>> known_hashes(RecordId person, const SignInPerson& who);

  // Looked up last, since it is asked with each entry; good while `at` is what Projection::changes_of() says.
  struct KnownPerson {
    std::uint64_t at = ~0ull;
    RecordId id;
    SignInPerson person;
  };
  struct KnownPolicy {
    std::uint64_t at = ~0ull;
    SignInPolicy policy;
  };

  Store& store_;
  Presences& presences_;
  Keystore* keystore_;
  std::function<WallMs()> wall_clock_;
  WrongPins wrong_;
  KnownPerson known_person_;
  KnownPolicy known_policy_;
};

}  // namespace wrackline
