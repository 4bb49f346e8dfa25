#include "replica/sign_in.h"

#include <algorithm>

#include "crypto/constant_time.h"
#include "crypto/pin_hash.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"
#include "model/authority.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "sync/facility_policy.h"

namespace wrackline {
namespace {

constexpr int kSlots = 8;
constexpr std::size_t kTokenBytes = 32;
constexpr WallMs kLongestMs = 12 * 60 * kMinuteMs;  // A long shift.
// That a session was used is written down only when it tells this much more; a write less for each entry.
constexpr WallMs kUseStepMs = 30'000;
// A clock set back by more than this ends sessions, or setting it back would keep them open.
constexpr WallMs kClockStepMs = kMinuteMs;

constexpr std::uint32_t kFreeTries = 3;
constexpr WallMs kFirstWaitMs = 30'000, kLongestWaitMs = 15 * kMinuteMs;

WallMs wait_after(std::uint32_t wrong) {
  if (wrong < kFreeTries) return 0;
  return std::min(kLongestWaitMs, kFirstWaitMs << std::min(wrong - kFreeTries, 10u));
}

std::string slot_key(int index) { return "session-" + std::to_string(index); }
std::string tries_key(RecordId person, const std::string& asker) { return "wrong-pins-" + to_text(person) + (asker.empty() ? "" : "-" + asker); }
// Changes with the PIN, so that a session ends with it.
std::uint64_t mark_of(ByteView pin_hash) { return first8(sha256(pin_hash)); }

}  // namespace

struct SignIn::Slot {
  static constexpr std::size_t kBytes = 32 + 12 + 8 + 8 + 8;
  int index = 0;
  Bytes token_hash;
  Session session;
  std::uint64_t pin_mark = 0;

  Bytes write() const {
    Bytes out = token_hash;
    append_le(out, session.person.log.value, 8);
    append_le(out, session.person.seq, 4);
    append_le(out, pin_mark, 8);
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
    slot.pin_mark = load_le(bytes.substr(44, 8));
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
    const bool is_theirs = person && mark_of(person->pin_hash) == slot->pin_mark;
    if (!is_theirs || now >= session.ends_ms || now + kClockStepMs < session.used_ms) return std::optional<Slot>();
    return slot;
  }
  return std::optional<Slot>();
}

// Durable before the PIN is judged.
Status SignIn::count_try(const std::string& key, const Bytes& name) {
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  WRACKLINE_TRY_VALUE(known, store_.meta(key));
  const bool is_counted = known && known->size() == 12;
  const auto wrong = is_counted ? static_cast<std::uint32_t>(load_le(ByteView(*known).substr(0, 4))) : 0;
  const WallMs last = is_counted ? load_le(ByteView(*known).substr(4, 8)) : 0;
  const WallMs now = wall_clock_();
  const WallMs wait = wait_after(wrong);
  const auto put = [&](std::uint32_t count) -> Status {
    Bytes value;
    append_le(value, count, 4);
    append_le(value, now, 8);
    WRACKLINE_TRY(store_.set_meta(key, value));
    return write.commit();
  };
  const bool clock_went_back = now < last;  // The wait begins anew, or setting the clock would end it.
  if (wait > 0 && (clock_went_back || now - last < wait)) {
    if (clock_went_back) WRACKLINE_TRY(put(wrong));
    const WallMs left = clock_went_back ? wait : wait - (now - last);
    return fail(ErrorCode::kRateLimited, "signing in: " + name + "'s PIN was wrong " + std::to_string(wrong) +
                                             " times; nobody was signed in; try again in " +
                                             std::to_string((left + 999) / 1000) + " s");
  }
  return put(wrong + 1);
}

Result<Bytes> SignIn::open(RecordId person, ByteView pin, ByteView instead_of, const std::string& asker) {
  const std::string tries = tries_key(person, asker);
  WRACKLINE_TRY_VALUE(who, find_person(person));
  if (who.pin_hash.empty()) {
    return fail(ErrorCode::kUnauthorized, "signing in: " + who.name + " has no PIN yet; nobody was signed in; set one first");
  }
  WRACKLINE_TRY(count_try(tries, who.name));
  WRACKLINE_TRY_VALUE(fits, pin_fits(who.pin_hash, pin, person, pin_key_));
  if (!fits) {
    return fail(ErrorCode::kUnauthorized, "signing in: that is not " + who.name + "'s PIN; nobody was signed in; try again. An admin can take a forgotten PIN away");
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
  slot.pin_mark = mark_of(who.pin_hash);
  WRACKLINE_TRY(store_.set_meta(slot_key(place), slot.write()));
  WRACKLINE_TRY(store_.set_meta(tries, Bytes()));
  WRACKLINE_TRY(write.commit());
  return std::move(token);
}

Status SignIn::allow(RecordId person, ByteView token) {
  const Result<SignInPerson> who = find_person(person);
  if (!who) return {};  // Not for signing in to judge: the call itself says what it lacks.
  if (who->pin_hash.empty()) {
    WRACKLINE_TRY_VALUE(rules, policy());
    if (!rules.pin_required) return {};
    return fail(ErrorCode::kUnauthorized, "writing: this facility asks everybody for a PIN, and " + who->name +
                                              " has none yet; nothing was written; set one, then sign in");
  }
  WRACKLINE_TRY_VALUE(slot, find_slot(token));
  if (!slot || slot->session.person != person) {
    return fail(ErrorCode::kUnauthorized, "writing: " + who->name + " is not signed in here, or was idle for too long; nothing was "
                                          "written; sign in with the PIN and do it again");
  }
  const WallMs now = wall_clock_();
  if (now < slot->session.used_ms + kUseStepMs) return {};
  slot->session.used_ms = now;
  return store_.set_meta(slot_key(slot->index), slot->write());
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

Result<Bytes> SignIn::hash_of(RecordId person, ByteView pin) {
  WRACKLINE_TRY_VALUE(rules, policy());
  WRACKLINE_TRY_VALUE(state, store_.records().load(store_.logs().find_place(person)));
  const bool is_more_than_keeper = state && (roles_of_person(state->fields) & ~roles_of_keepers()) != 0;
  if (const auto problem = pin_problem(pin, rules.proof_required && is_more_than_keeper ? kProvingPinLeast : kPinLeast)) {
    return fail(ErrorCode::kInvalid, "setting a PIN: " + *problem + "; the PIN is as it was; choose another");
  }
  return make_pin_hash(pin, person, pin_key_);
}

}  // namespace wrackline
