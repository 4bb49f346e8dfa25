#include "model/authority.h"

#include "base/wire.h"
#include "model/countersigning.h"
#include "model/kinds.h"
#include "model/read_message.h"
#include "model/sign_in_rules.h"
#include "records.pb.h"

namespace wrackline {
namespace {

constexpr Roles bit(proto::Role role) { return Roles{1} << role; }

constexpr Roles kKeeper = bit(proto::ROLE_KEEPER), kVet = bit(proto::ROLE_VET), kCurator = bit(proto::ROLE_CURATOR),
                kOfficer = bit(proto::ROLE_OFFICER), kAdmin = bit(proto::ROLE_ADMIN);

}  // namespace

Roles roles_for(Authority authority) {
  switch (authority) {
    case Authority::kCare:
    case Authority::kPhoneOrders: return kKeeper | kVet | kCurator | kOfficer;
    case Authority::kPlans: return kVet | kCurator | kOfficer;
    case Authority::kApprovals: return kVet | kCurator;
    case Authority::kOrders: return kVet;
    case Authority::kRoster: return kCurator | kOfficer;
    case Authority::kReview:
    case Authority::kLimits: return kVet | kCurator | kOfficer;
    case Authority::kPeople:
    case Authority::kDevices: return kAdmin;
  }
  return 0;
}

Roles roles_of_keepers() { return kKeeper; }

std::string role_words(Roles roles) {
  std::string out;
  const std::pair<Roles, const char*> words[] = {
      {kKeeper, "a keeper"}, {kVet, "a vet"}, {kCurator, "a curator"}, {kOfficer, "an officer"}, {kAdmin, "an admin"}};
  for (const auto& [role, word] : words) {
    if ((roles & role) == 0) continue;
    roles &= ~role;
    out += (out.empty() ? "" : roles == 0 ? " or " : ", ") + std::string(word);
  }
  return out;
}

Roles roles_of_person(ByteView person_fields) {
  proto::Person person;
  if (!read_message(person_fields, person) || person.standing() == proto::STANDING_STRUCK) return 0;
  Roles roles = 0;
  for (int role : person.roles()) {
    if (role > 0 && role < 32) roles |= Roles{1} << role;
  }
  return roles;
}

namespace {

void note_field(std::uint32_t field, std::uint32_t approval_field, Act& act) {
  if (field == kConfirmationField) return;
  const bool is_review = field == kSameAsField || field == kAcceptedField;
  const bool is_pin = (field == kPinSetField || field == kPinCodeField) && act.kind == static_cast<std::uint32_t>(Kind::kPerson);
  const bool is_approval = approval_field != 0 && field == approval_field;
  act.touches_fold = act.touches_fold || field == kSameAsField;
  (is_review ? act.touches_review : is_pin ? act.touches_pin : is_approval ? act.touches_approval : act.touches_others) = true;
}

}  // namespace

Act act_of(std::uint32_t kind, bool birth, RecordId author, ByteView fields, const std::vector<std::uint32_t>& clears) {
  Act act;
  act.kind = kind;
  act.birth = birth;
  const KindRow* row = find_kind(kind);
  const std::uint32_t approval_field = row == nullptr ? 0 : row->approval_field;
  for (const std::uint32_t field : clears) note_field(field, approval_field, act);
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) {
    note_field(field.number, approval_field, act);
  }
  const RecordId named = named_in_word(kind, fields);
  act.gives_word = named && named == author;
  act.asks_word = named && named != author;
  act.gives_approval = act.gives_word && approval_field != 0;
  return act;
}

bool has_rule(std::uint32_t kind) { return find_kind(kind) != nullptr; }

bool needs_proof(const Act& act) {
  const KindRow* row = find_kind(act.kind);
  if (row == nullptr) return false;
  const bool is_close = act.kind == static_cast<std::uint32_t>(Kind::kDayClose);
  const bool confirms = act.gives_word && !act.birth;
  return act.touches_review || act.gives_approval || confirms || is_close || row->authority != Authority::kCare;
}

bool is_at_hub(const Act& act) {
  const KindRow* row = find_kind(act.kind);
  if (row == nullptr) return false;
  return row->authority == Authority::kLimits || row->authority == Authority::kPeople || row->authority == Authority::kDevices;
}

bool may(Roles roles, const Act& act, std::string& needed) {
  const KindRow* row = find_kind(act.kind);
  if (row == nullptr) return true;
  const auto lacks = [&](Authority authority) {
    if ((roles & roles_for(authority)) != 0) return false;
    needed = role_words(roles_for(authority));
    return true;
  };
  if ((act.birth && row->of_hub) || act.touches_pin) {
    needed = "the hub itself";
    return false;
  }
  // To take an approval back is for whoever may change what was approved.
  const bool is_of_content = act.birth || act.touches_others || (act.touches_approval && !act.gives_approval);
  // To fold an admin away is to take their roles.
  if (act.touches_review && lacks(is_at_hub(act) ? row->authority : Authority::kReview)) return false;
  if (act.gives_approval && lacks(Authority::kApprovals)) return false;
  const bool is_by_phone = row->authority == Authority::kOrders && act.birth && act.asks_word;
  return !(is_of_content && lacks(is_by_phone ? Authority::kPhoneOrders : row->authority));
}

}  // namespace wrackline
