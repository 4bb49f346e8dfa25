// Attention to people and devices tells who was let in, whose privileges or rules were changed, with who asked and from where, and whose
// PIN is tried.
#include <map>
#include <tuple>

#include "base/wire.h"
#include "call/attention_list.h"
#include "model/authority.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "sync/hub_acts.h"

namespace wrackline {
namespace {

// "Ada, from desk".
Result<std::string> asked_words(AttentionList& list, RecordId person, RecordId device) {
  WRACKLINE_TRY_VALUE(who, list.roster.name_of(person));
  WRACKLINE_TRY_VALUE(where, list.roster.name_of(device));
  return who + ", from " + where;
}

// Their own PIN is everybody's business with themselves.
bool is_own_pin(const Change& change) {
  WireReader reader(change.fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number != kPinSetField) return false;
  }
  return !change.is_birth() && change.record == change.author && change.clears.empty();
}

Status look_at_act(AttentionList& list, const proto::HubAct& act) {
  LogTable& logs = list.replica.store().logs();
  const LogId log{act.of_log()};
  for (Seq seq = act.first_seq(); seq <= act.last_seq(); ++seq) {
    WRACKLINE_TRY_VALUE(bytes, logs.content_of(logs.find_place({log, seq})));
    if (bytes.empty()) continue;
    const Bytes content(bytes);
    WRACKLINE_TRY_VALUE(change, read_change(content));
    const RecordId record = change.is_birth() ? RecordId{log, seq} : change.record;
    WRACKLINE_TRY_VALUE(state, list.replica.store().records().load(logs.find_place(record)));
    if (!state || !is_at_hub(act_of(state->kind, change.is_birth(), change.author, change.fields, change.clears)) || is_own_pin(change)) continue;
    WRACKLINE_TRY_VALUE(name, list.roster.name_of(record));
    const KindRow* row = find_kind(state->kind);
    WRACKLINE_TRY_VALUE(asked, asked_words(list, id_of(act.person()), id_of(act.device())));
    list.add(proto::ATTENTION_RULE_PRIVILEGE_CHANGED, record, name.empty() && row != nullptr ? std::string(row->name) : name, record,
             static_cast<Day>(act.at_ms() / kDayMs))
        .set_what(asked);
  }
  return {};
}

}  // namespace

Status attend_privileges(AttentionList& list) {
  Store& store = list.replica.store();
  const WallMs from = static_cast<WallMs>(std::max<std::int64_t>(0, list.events_from)) * kDayMs;
  WRACKLINE_TRY_VALUE(acts, store.records().find_all_subjects(Kind::kHubAct, 0, 0));
  for (const Place place : acts) {
    const ChangeId id = store.logs().id_of(place);
    const LogEntry* log = store.logs().find(id.log);
    if (log == nullptr || !list.replica.devices().hub().speaks(*log, id.seq)) continue;
    WRACKLINE_TRY_VALUE(act, read_record<proto::HubAct>(list.replica, place));
    if (act && act->message.at_ms() >= from && act->message.at_ms() <= list.now_ms) WRACKLINE_TRY(look_at_act(list, act->message));
  }
  WRACKLINE_TRY_VALUE(devices, store.records().find(0, Kind::kDevice, 0, 0));
  for (const Place place : devices) {
    WRACKLINE_TRY_VALUE(device, read_record<proto::Device>(list.replica, place));
    if (!device || !device->message.has_invited_by() || device->message.enrolled_ms() < from || device->message.enrolled_ms() > list.now_ms) continue;
    WRACKLINE_TRY_VALUE(asked, asked_words(list, id_of(device->message.invited_by()), id_of(device->message.invited_from())));
    list.add(proto::ATTENTION_RULE_DEVICE_LET_IN, device->id, device->message.name(), device->id, static_cast<Day>(device->message.enrolled_ms() / kDayMs))
        .set_what(asked);
  }
  return {};
}

// It is read from the hub's own change and not from the merged record, so that nobody takes a warning away by an edit.
Status attend_wrong_pins(AttentionList& list) {
  LogTable& logs = list.replica.store().logs();
  const WallMs from = static_cast<WallMs>(std::max<std::int64_t>(0, list.events_from)) * kDayMs;
  WRACKLINE_TRY_VALUE(places, list.replica.store().records().find_all_subjects(Kind::kPinWarning, 0, 0));
  struct Last {
    ChangeId id;
    proto::PinWarning warning;
  };
  std::map<std::tuple<RecordId, RecordId, WallMs>, Last> runs;  // One line for each run of wrong PINs, with the hub's last word of it.
  for (const Place place : places) {
    const ChangeId id = logs.id_of(place);
    const LogEntry* log = logs.find(id.log);
    if (log == nullptr || !list.replica.devices().hub().speaks(*log, id.seq)) continue;
    WRACKLINE_TRY_VALUE(bytes, logs.content_of(place));
    const Bytes content(bytes);
    WRACKLINE_TRY_VALUE(change, read_change(content));
    proto::PinWarning warning;
    if (!warning.ParseFromArray(change.fields.data(), static_cast<int>(change.fields.size()))) continue;
    if (warning.at_ms() < from || warning.at_ms() > list.now_ms) continue;
    Last& last = runs[{id_of(warning.person()), id_of(warning.device()), warning.since_ms()}];
    if (!last.id || last.warning.times() <= warning.times()) last = {id, std::move(warning)};
  }
  for (const auto& [run, last] : runs) {
    const RecordId person = std::get<0>(run);
    WRACKLINE_TRY_VALUE(name, list.roster.name_of(person));
    WRACKLINE_TRY_VALUE(where, list.roster.name_of(std::get<1>(run)));
    proto::AttentionItem& item = list.add(proto::ATTENTION_RULE_WRONG_PINS, person, name, last.id, static_cast<Day>(last.warning.at_ms() / kDayMs));
    item.set_since_ms(last.warning.since_ms());
    item.set_what(where + " (" + std::to_string(last.warning.times()) + ")");
  }
  return {};
}

}  // namespace wrackline
