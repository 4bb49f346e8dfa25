// Attention to people and devices tells who was let in, whose privileges or rules were changed, with who asked and from where, whose PIN
// is tried, and what came in the name of somebody who had the role for it no more.
#include <map>
#include <tuple>

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "husbandry/attention_list.h"
#include "model/authority.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "reading/record_view.h"
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

// The hub wrote this down in the days that attention looks at. It is read from the hub's own change and not from the merged record, so
// that nobody takes it away by an edit.
template <typename Message>
struct HubNote {
  ChangeId id;
  Message message;
};
template <typename Message>
Result<std::vector<HubNote<Message>>> hub_notes(AttentionList& list, Kind kind) {
  LogTable& logs = list.replica.store().logs();
  const WallMs from = static_cast<WallMs>(std::max<std::int64_t>(0, list.events_from)) * kDayMs;
  WRACKLINE_TRY_VALUE(places, list.replica.store().records().find_all_subjects(kind, 0, 0));
  std::vector<HubNote<Message>> out;
  for (const Place place : places) {
    const ChangeId id = logs.id_of(place);
    const LogEntry* log = logs.find(id.log);
    if (log == nullptr || !list.replica.devices().hub().speaks(*log, id.seq)) continue;
    WRACKLINE_TRY_VALUE(bytes, logs.content_of(place));
    const Bytes content(bytes);
    WRACKLINE_TRY_VALUE(change, read_change(content));
    HubNote<Message> note{id, {}};
    if (!note.message.ParseFromArray(change.fields.data(), static_cast<int>(change.fields.size()))) continue;
    if (note.message.at_ms() >= from && note.message.at_ms() <= list.now_ms) out.push_back(std::move(note));
  }
  return out;
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

Status attend_wrong_pins(AttentionList& list) {
  WRACKLINE_TRY_VALUE(warnings, hub_notes<proto::PinWarning>(list, Kind::kPinWarning));
  std::map<std::tuple<RecordId, RecordId, WallMs>, HubNote<proto::PinWarning>> runs;  // One line for each run of wrong PINs, by the last word of it.
  for (auto& [id, warning] : warnings) {
    auto& last = runs[{id_of(warning.person()), id_of(warning.device()), warning.since_ms()}];
    if (!last.id || last.message.times() <= warning.times()) last = {id, std::move(warning)};
  }
  for (const auto& [run, last] : runs) {
    const RecordId person = std::get<0>(run);
    WRACKLINE_TRY_VALUE(name, list.roster.name_of(person));
    WRACKLINE_TRY_VALUE(where, list.roster.name_of(std::get<1>(run)));
    proto::AttentionItem& item = list.add(proto::ATTENTION_RULE_WRONG_PINS, person, name, last.id, static_cast<Day>(last.message.at_ms() / kDayMs));
    item.set_since_ms(last.message.since_ms());
    item.set_what(where + " (" + std::to_string(last.message.times()) + ")");
  }
  return {};
}

// A line goes when nothing of what it tells of is in account any more: somebody has looked, and struck it.
Status attend_former_roles(AttentionList& list) {
  WRACKLINE_TRY_VALUE(notes, hub_notes<proto::FormerRole>(list, Kind::kFormerRole));
  Store& store = list.replica.store();
  for (const auto& [id, note] : notes) {
    RecordId first;
    std::uint32_t count = 0;
    for (Seq seq = note.first_seq(); seq <= note.last_seq(); ++seq) {
      const ChangeId change_id{LogId{note.of_log()}, seq};
      WRACKLINE_TRY_VALUE(bytes, store.logs().content_of(store.logs().find_place(change_id)));
      if (bytes.empty()) continue;
      const Bytes content(bytes);
      WRACKLINE_TRY_VALUE(change, read_change(content));
      const RecordId record = change.is_birth() ? change_id : change.record;
      WRACKLINE_TRY_VALUE(state, store.records().load(store.logs().find_place(record)));
      if (!state || state->kind == 0 || !built_in_of(state->fields).in_account()) continue;
      if (++count == 1) first = record;
    }
    if (count == 0) continue;
    WRACKLINE_TRY_VALUE(name, list.roster.name_of(id_of(note.person())));
    WRACKLINE_TRY_VALUE(where, list.roster.name_of(id_of(note.device())));
    proto::AttentionItem& item = list.add(proto::ATTENTION_RULE_FORMER_ROLE, id_of(note.person()), name, first, static_cast<Day>(note.at_ms() / kDayMs));
    item.set_since_ms(note.written_ms());
    item.set_what(where + " (" + std::to_string(count) + ")");
  }
  return {};
}

}  // namespace wrackline
