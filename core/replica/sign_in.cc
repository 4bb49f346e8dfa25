#include "replica/sign_in.h"

#include <algorithm>

#include "crypto/constant_time.h"
#include "crypto/pin_hash.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"
#include "model/kinds.h"
#include "sync/facility_policy.h"

namespace wrackline {
namespace {

constexpr int kSlots = 8;
constexpr std::size_t kTokenBytes = 32;
constexpr WallMs kLongestMs = 12 * 60 * kMinuteMs;  // A long shift.
// The use of a session is written down only when it tells this much more; a write less for each entry.
constexpr WallMs kUseStepMs = 30'000;
// A clock set back by more than this ends sessions, or setting it back would keep them open.
constexpr WallMs kClockStepMs = kMinuteMs;

std::string slot_key(int index) { return "session-" + std::to_string(index); }
// The hash that was made last, and the one before, which stays good when nothing comes of the last.
std::string last_hash_key(RecordId person) { return "pin-here-" + to_text(person); }
std::string hash_before_key(RecordId person) { return "pin-before-" + to_text(person); }

}  // namespace

struct SignIn::Slot {
  static constexpr std::size_t kBytes = 32 + 12 + 8 + 8 + 8;
  int index = 0;
  Bytes token_hash;
  Session session;
  std::uint64_t pin_set_ms = 0;  // The time of the PIN that opened the session, which ends with that PIN.

  Bytes write() const {
    Bytes out = token_hash;
    append_le(out, session.person.log.value, 8);
    append_le(out, session.person.seq, 4);
    append_le(out, pin_set_ms, 8);
    append_le(out, session.began_ms, 8);
    append_le(out, session.used_ms, 8);
    return out;
  }
  static std::optional<Slot> read(int index, ByteView bytes) {
    if (bytes.size() != kBytes) return {};
    Slot slot;
    slot.index = index;
    slot.token_hash = Bytes(bytes.substr(0, 32));
    slot.session.person = {{load_le(bytes.substr(32, 8))}, static_cast<Seq>(load_le(bytes.substr(40, 4)))};
    slot.pin_set_ms = load_le(bytes.substr(44, 8));
    slot.session.began_ms = load_le(bytes.substr(52, 8));
    slot.session.used_ms = load_le(bytes.substr(60, 8));
    return slot;
  }
};

Result<SignInPerson> SignIn::find_person(RecordId person) {
  const std::uint64_t at = store_.records().changes_of(Kind::kPerson);
  if (known_person_.at == at && known_person_.id == person) return known_person_.person;
  WRACKLINE_TRY_VALUE(state, store_.records().load(store_.logs().find_place(person)));
  if (!state || state->kind != static_cast<std::uint32_t>(Kind::kPerson) || !built_in_of(state->fields).in_account()) {
    return fail(ErrorCode::kNotFound, "signing in: this person is not in account here; nobody was signed in; choose "
                                      "somebody from the list, or exchange first");
  }
  known_person_ = {at, person, sign_in_person(state->fields)};
  return known_person_.person;
}

Result<SignInPolicy> SignIn::policy() {
  const std::uint64_t at = store_.records().changes_of(Kind::kFacility);
  if (known_policy_.at == at) return known_policy_.policy;
  WRACKLINE_TRY_VALUE(found, facility_policy(store_));
  known_policy_ = {at, found};
  return found;
}

Result<std::optional<SignIn::Slot>> SignIn::find_slot(ByteView token) {
  if (token.size() != kTokenBytes) return std::optional<Slot>();
  const Hash hash = sha256(token);
  for (int i = 0; i < kSlots; ++i) {
    WRACKLINE_TRY_VALUE(bytes, store_.meta(slot_key(i)));
    if (!bytes) continue;
    std::optional<Slot> slot = Slot::read(i, *bytes);
    if (!slot || !equal_in_constant_time(slot->token_hash, view(hash))) continue;
    const WallMs now = wall_clock_();
    WRACKLINE_TRY_VALUE(rules, policy());
    Session& session = slot->session;
    session.ends_ms = std::min(session.used_ms + rules.lock_after_min * kMinuteMs, session.began_ms + kLongestMs);
    const Result<SignInPerson> person = find_person(session.person);
    const bool is_theirs = person && person->pin_set_ms == slot->pin_set_ms;
    if (!is_theirs || now >= session.ends_ms || now + kClockStepMs < session.used_ms) return std::optional<Slot>();
    return slot;
  }
  return std::optional<Slot>();
}

Result<std::vector<Bytes>> SignIn::known_hashes(RecordId person, const SignInPerson& who) {
  std::vector<Bytes> out;
  for (const std::string& key : {last_hash_key(person), hash_before_key(person)}) {
    WRACKLINE_TRY_VALUE(kept, store_.meta(key));
    if (!kept || kept->empty()) continue;
    WRACKLINE_TRY_VALUE(is_proven, presences_.has_proven(person, keystore_->public_key(), sha256(*kept), who.pin_set_ms));
    if (is_proven) out.push_back(*kept);
  }
  return out;
}

Result<Hash> SignIn::prepare(RecordId person, ByteView pin) {
  WRACKLINE_TRY_VALUE(who, find_person(person));
  WRACKLINE_TRY_VALUE(hash, make_device_pin_hash(pin, person, *keystore_));
  WRACKLINE_TRY_VALUE(known, known_hashes(person, who));
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  WRACKLINE_TRY(store_.set_meta(hash_before_key(person), known.empty() ? Bytes() : known.front()));
  WRACKLINE_TRY(store_.set_meta(last_hash_key(person), hash));
  WRACKLINE_TRY(write.commit());
  return sha256(hash);
}

Result<Bytes> SignIn::open(RecordId person, ByteView pin, ByteView instead_of) {
  WRACKLINE_TRY_VALUE(who, find_person(person));
  if (who.pin_set_ms == 0) {
    return fail(ErrorCode::kWrongPin, "signing in: " + who.name + " has no PIN yet; nobody was signed in; choose one first, with a one-time code that an admin gives");
  }
  WRACKLINE_TRY_VALUE(hashes, known_hashes(person, who));
  if (hashes.empty()) {
    return fail(ErrorCode::kNotFound, "signing in: this device does not know " + who.name + "'s PIN yet; nobody was signed in; sign in within reach of the hub. "
                                      "Until then care can be written in their name, by this device's word");
  }
  const std::string tries = WrongPins::key(person, {});
  WRACKLINE_TRY(wrong_.count(tries, "the PIN of " + who.name));
  bool fits = false;
  for (const Bytes& hash : hashes) {
    if (fits) continue;
    WRACKLINE_TRY_VALUE(is_the_pin, device_pin_fits(hash, pin, person, *keystore_));
    fits = is_the_pin;
  }
  if (!fits) {
    return fail(ErrorCode::kWrongPin, "signing in: that is not " + who.name + "'s PIN; nobody was signed in; try again. For a PIN that is forgotten an admin gives a "
                                          "one-time code");
  }
  WRACKLINE_TRY_VALUE(before, find_slot(instead_of));
  WRACKLINE_TRY_VALUE(token, random_bytes(kTokenBytes));
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  // The place of the session before, an empty one, or of the one unused for longest.
  int place = 0;
  WallMs oldest = ~WallMs{0};
  for (int i = 0; i < kSlots; ++i) {
    WRACKLINE_TRY_VALUE(bytes, store_.meta(slot_key(i)));
    const std::optional<Slot> slot = bytes ? Slot::read(i, *bytes) : std::nullopt;
    const bool is_handed_over = before && before->index == i;
    const WallMs used = is_handed_over || !slot ? 0 : slot->session.used_ms;
    if (is_handed_over || used < oldest) place = i;
    if (is_handed_over) break;
    oldest = std::min(oldest, used);
  }
  Slot slot;
  slot.token_hash = Bytes(view(sha256(token)));
  slot.session.person = person;
  slot.session.began_ms = slot.session.used_ms = wall_clock_();
  slot.pin_set_ms = who.pin_set_ms;
  WRACKLINE_TRY(store_.set_meta(slot_key(place), slot.write()));
  WRACKLINE_TRY(wrong_.forget(tries));
  WRACKLINE_TRY(write.commit());
  return std::move(token);
}

Result<SignIn::Known> SignIn::allow(RecordId person, ByteView token) {
  const Result<SignInPerson> who = find_person(person);
  if (!who) return Known::kWithoutPin;  // Not for signing in to judge: the call itself says what it lacks.
  if (who->pin_set_ms == 0) {
    WRACKLINE_TRY_VALUE(rules, policy());
    if (!rules.pin_required) return Known::kWithoutPin;
    return fail(ErrorCode::kUnauthorized, "writing: this facility asks everybody for a PIN, and " + who->name +
                                              " has none yet; nothing was written; choose one within reach of the hub, with a one-time code that an admin gives");
  }
  WRACKLINE_TRY_VALUE(slot, find_slot(token));
  if (!slot || slot->session.person != person) {
    WRACKLINE_TRY_VALUE(hashes, known_hashes(person, *who));
    if (hashes.empty()) return Known::kByName;
    return fail(ErrorCode::kUnauthorized, "writing: " + who->name + " is not signed in here, or was idle for too long; nothing was "
                                          "written; sign in with the PIN and do it again");
  }
  const WallMs now = wall_clock_();
  if (now >= slot->session.used_ms + kUseStepMs) {
    slot->session.used_ms = now;
    WRACKLINE_TRY(store_.set_meta(slot_key(slot->index), slot->write()));
  }
  return Known::kBySession;
}

Result<std::optional<SignIn::Session>> SignIn::find(ByteView token) {
  WRACKLINE_TRY_VALUE(slot, find_slot(token));
  return slot ? std::optional<Session>(slot->session) : std::nullopt;
}

Status SignIn::close(ByteView token) {
  WRACKLINE_TRY_VALUE(slot, find_slot(token));
  if (!slot) return {};
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  WRACKLINE_TRY(store_.set_meta(slot_key(slot->index), {}));
  return write.commit();
}

}  // namespace wrackline
