#include "replica/pins.h"

#include "crypto/constant_time.h"
#include "crypto/one_time_code.h"
#include "crypto/pin_hash.h"
#include "model/authority.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"

namespace wrackline {
namespace {

constexpr std::string_view kCodePurpose = "wrackline/pin-code/1";
// People take turns at a tablet, so a device may be wrong more often than a person.
constexpr std::uint32_t kFreeTriesOfDevice = 12;

std::string pin_name(RecordId person) { return "pin-" + to_text(person); }
std::string code_name(RecordId person) { return "pin-code-" + to_text(person); }

}  // namespace

Result<Bytes> Pins::name_of(RecordId person) {
  WRACKLINE_TRY_VALUE(state, store_.records().load(store_.logs().find_place(person)));
  if (!state || state->kind != static_cast<std::uint32_t>(Kind::kPerson) || !built_in_of(state->fields).in_account()) {
    return fail(ErrorCode::kNotFound, "looking a person up at the hub: they are not in account; nothing was changed; choose somebody from the list");
  }
  return sign_in_person(state->fields).name;
}

Result<bool> Pins::is_code(RecordId person, ByteView secret) {
  WRACKLINE_TRY_VALUE(kept, store_.hub_secrets().find(code_name(person)));
  if (kept.size() != sizeof(Hash) + 8 || load_le(ByteView(kept).substr(sizeof(Hash), 8)) <= wall_clock_()) return false;
  return equal_in_constant_time(view(hash_of_code(kCodePurpose, normal_code(secret), key_)), ByteView(kept).substr(0, sizeof(Hash)));
}

Status Pins::check(RecordId person, ByteView pin, const std::string& asker) { return check_any(person, pin, asker, false); }
Status Pins::check_for_another(RecordId person, ByteView secret, const std::string& asker) { return check_any(person, secret, asker, true); }

Status Pins::check_any(RecordId person, ByteView secret, const std::string& asker, bool codes_too) {
  WRACKLINE_TRY_VALUE(name, name_of(person));
  const std::string of_person = WrongPins::key(person, asker), of_device = WrongPins::key({}, asker);
  WRACKLINE_TRY(wrong_.count(of_person, "the PIN of " + name));
  WRACKLINE_TRY(wrong_.count(of_device, "a PIN typed at this device", kFreeTriesOfDevice));
  WRACKLINE_TRY_VALUE(is_the_code, is_code(person, secret));
  bool fits = codes_too && is_the_code;
  if (!fits) {
    WRACKLINE_TRY_VALUE(hash, store_.hub_secrets().find(pin_name(person)));
    if (hash.empty()) {
      return fail(ErrorCode::kWrongPin, "checking a PIN: " + name + " has none; nothing was done; choose one first, with a one-time code that an admin gives");
    }
    WRACKLINE_TRY_VALUE(is_the_pin, pin_fits(hash, secret, person, key_));
    fits = is_the_pin;
  }
  if (!fits) {
    return fail(ErrorCode::kWrongPin, "checking a PIN: that is not " + name + "'s; nothing was done; try again. For a PIN that is forgotten an admin gives a one-time code");
  }
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  WRACKLINE_TRY(wrong_.forget(of_person));
  WRACKLINE_TRY(wrong_.forget(of_device));
  return write.commit();
}

Status Pins::set(RecordId person, ByteView pin) {
  WRACKLINE_TRY(name_of(person));
  WRACKLINE_TRY_VALUE(state, store_.records().load(store_.logs().find_place(person)));
  const bool is_more_than_keeper = (roles_of_person(state->fields) & ~roles_of_keepers()) != 0;
  if (const auto problem = pin_problem(pin, is_more_than_keeper ? kPinLeastOfMore : kPinLeast)) {
    return fail(ErrorCode::kInvalid, "setting a PIN: " + *problem + "; the PIN is as it was; choose another");
  }
  WRACKLINE_TRY_VALUE(hash, make_pin_hash(pin, person, key_));
  WRACKLINE_TRY(store_.hub_secrets().set(pin_name(person), hash, wall_clock_()));
  return store_.hub_secrets().set(code_name(person), {}, wall_clock_());
}

Result<std::string> Pins::make_code(RecordId person) {
  WRACKLINE_TRY(name_of(person));
  WRACKLINE_TRY_VALUE(code, draw_code());
  Bytes kept(view(hash_of_code(kCodePurpose, code, key_)));
  append_le(kept, wall_clock_() + kCodeMs, 8);
  WRACKLINE_TRY(store_.hub_secrets().set(code_name(person), kept, wall_clock_()));
  return shown_code(code);
}

}  // namespace wrackline
