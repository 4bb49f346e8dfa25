// Who is at this device: people sign in by PIN, and for a while what is written in their name is believed.
//
// A session is a random token that the app keeps and shows with each call that writes. It ends when nobody wrote for the
// facility's lock time, twelve hours after it began, with its person's PIN, or by hand-over to the next person. A
// device has eight at most; the ninth takes the place of the one unused for longest. Of tokens only hashes are kept. Wrong PINs are counted before they are judged, so that pulling the plug buys no try, and after
// three each further try has to wait longer. All of it is this device's own and is in no log.
//
// It stops a hand at somebody else's tablet. It does not stop who can read the disk or has the device's key: which device wrote a
// change is proven, which of its people did is the device's word.
//
// Threads: one at a time. Lifetime: the store outlives it.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "model/sign_in_rules.h"
#include "store/store.h"

namespace wrackline {

class SignIn {
 public:
  SignIn(Store& store, Bytes pin_key, std::function<WallMs()> wall_clock)
      : store_(store), pin_key_(std::move(pin_key)), wall_clock_(std::move(wall_clock)) {}

  struct Session {
    RecordId person;
    WallMs began_ms = 0;
    WallMs used_ms = 0;
    WallMs ends_ms = 0;  // Unless it is used before.
  };

  // Opens a session; the token is 32 bytes. `instead_of` is a token whose session ends with it, or empty. `asker` names the device that
  // asks a hub, empty for this one: wrong PINs are counted for each by itself, so that nobody keeps a person out elsewhere.
  // Errors: kUnauthorized (not the PIN; or no PIN to sign in with), kRateLimited (wait; the message says how long),
  // kNotFound (no such person in account), kStorage and its kin.
  Result<Bytes> open(RecordId person, ByteView pin, ByteView instead_of, const std::string& asker = {});

  // Whether `person` may write with this token now; an open session is used by it, which is noted within the Write that
  // the caller has begun. Somebody without a PIN needs none, unless the facility requires PINs. Errors: kUnauthorized,
  // kStorage and its kin.
  Status allow(RecordId person, ByteView token);

  // None when there is no such session, or it has ended.
  Result<std::optional<Session>> find(ByteView token);
  Status close(ByteView token);

  // For Person.pin. Errors: kInvalid (no good PIN; the message says why), kKeystore.
  Result<Bytes> hash_of(RecordId person, ByteView pin);

 private:
  struct Slot;
  Result<SignInPerson> find_person(RecordId person);
  Result<SignInPolicy> policy();
  Result<std::optional<Slot>> find_slot(ByteView token);
  Status count_try(const std::string& key, const Bytes& name);

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
  Bytes pin_key_;
  std::function<WallMs()> wall_clock_;
  KnownPerson known_person_;
  KnownPolicy known_policy_;
};

}  // namespace wrackline
