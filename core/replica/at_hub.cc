#include "replica/at_hub.h"

#include <functional>
#include <vector>

#include "base/wire.h"
#include "model/authority.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "replica/author.h"
#include "replica/pins.h"
#include "replica/replica.h"
#include "store/store.h"
#include "sync/hub_acts.h"

namespace wrackline {
namespace {

// `work` and an edit of the person's record that says when, in one transaction. Nobody but whoever runs the hub asks without a person.
Status in_one_write(Replica& hub, const AtHub& asked, RecordId person, std::uint32_t time_field, const std::string& reason,
                    const std::function<Status()>& work) {
  WRACKLINE_TRY_VALUE(write, hub.store().begin_write());
  const std::map<LogClass, ChangeId> before = hub.author().heads();
  WRACKLINE_TRY(work());
  Edit edit;
  edit.record = person;
  append_varint_field(edit.fields, time_field, hub.now());
  edit.reason = reason;
  edit.settle = true;  // Two PINs given by two hubs: the one that counts is the one that is kept.
  edit.is_of_hub = true;
  WRACKLINE_TRY(hub.author().edit_in(asked.person, std::move(edit)));
  WRACKLINE_TRY(asked.person ? note_asked(hub, asked, before) : hub.author().seal_in());
  return hub.author().commit(write);
}

Result<std::string> give_code(Replica& hub, const AtHub& asked, RecordId person, const std::string& reason) {
  std::string code;
  WRACKLINE_TRY(in_one_write(hub, asked, person, kPinCodeField, reason, [&]() -> Status {
    WRACKLINE_TRY_VALUE(made, hub.pins().make_code(person));
    code = made;
    return {};
  }));
  return code;
}

Status set(Replica& hub, const AtHub& asked, RecordId person, ByteView pin, const std::string& reason) {
  return in_one_write(hub, asked, person, kPinSetField, reason, [&] { return hub.pins().set(person, pin); });
}

}  // namespace

Status note_asked(Replica& hub, const AtHub& asked, const std::map<LogClass, ChangeId>& before) {
  std::vector<NewRecord> records;
  for (const auto& [log_class, head] : hub.author().heads()) {
    const auto earlier = before.find(log_class);
    const Seq from = earlier != before.end() && earlier->second.log == head.log ? earlier->second.seq : 0;
    if (head.seq == from) continue;
    NewRecord& record = records.emplace_back();
    record.kind = static_cast<std::uint32_t>(Kind::kHubAct);
    record.fields = HubActs::fields(asked.person, {asked.device, head.log, from + 1, head.seq}, hub.now());
  }
  WRACKLINE_TRY(hub.author().log_records_in({}, records));
  return hub.author().seal_in();
}

Status choose_pin(Replica& hub, const AtHub& asked, ByteView pin) { return set(hub, asked, asked.person, pin, "chosen by themselves"); }

Status set_pin_at_machine(Replica& hub, RecordId person, ByteView pin, const std::string& reason) { return set(hub, {}, person, pin, reason); }

Result<std::string> give_pin_code(Replica& hub, const AtHub& asked, RecordId person) {
  WRACKLINE_TRY_VALUE(state, hub.store().records().load(hub.store().logs().find_place(asked.person)));
  const Roles needed = roles_for(Authority::kPeople);
  if (!state || (roles_of_person(state->fields) & needed) == 0) {
    return fail(ErrorCode::kUnauthorized, "giving a one-time code for a PIN: that takes " + role_words(needed) + "; nothing was made; ask one");
  }
  return give_code(hub, asked, person, "a one-time code was given");
}

Result<std::string> give_pin_code_at_machine(Replica& hub, RecordId person, const std::string& reason) { return give_code(hub, {}, person, reason); }

}  // namespace wrackline
