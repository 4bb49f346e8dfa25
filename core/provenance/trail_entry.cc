#include "provenance/trail_entry.h"
#include "reading/record_view.h"

#include <algorithm>
#include <tuple>

#include "base/wire.h"
#include "model/lateness.h"
#include "reading/authorship.h"
#include "sync/device_registry.h"
#include "sync/hub_acts.h"

namespace wrackline {
namespace {

// Records are kept at hand while their changes pass by; a walk through all logs meets most of them once.
constexpr std::size_t kKnownMost = 512;

// True for an edit that stands against a strike whose author had not seen it.
bool is_against_strike(const Folded& history, std::size_t input) {
  return std::any_of(history.fields.begin(), history.fields.end(), [&](const auto& field) {
    const std::vector<std::size_t>& against = field.second.against;
    return std::find(against.begin(), against.end(), input) != against.end();
  });
}

// The values that a change says it replaces, for this field.
void put_replaced(const Folded& history, std::uint32_t number, const Change& by, proto::TrailEntry& out) {
  const auto field = history.fields.find(number);
  if (field == history.fields.end()) return;
  for (const Replaced& replaced : by.replaces) {
    if (std::find(replaced.fields.begin(), replaced.fields.end(), number) == replaced.fields.end()) continue;
    for (const Assignment& a : field->second.assignments) {
      const FoldInput& input = history.inputs[a.input];
      if (input.id == replaced.change && input.check == replaced.check) out.add_replaced(a.slice);
    }
  }
}

// The value that a change gives to each field, in wire format; empty for one it makes absent.
std::map<std::uint32_t, Bytes> said_by(const Change& change) {
  std::map<std::uint32_t, Bytes> out;
  for (const std::uint32_t cleared : change.clears) out[cleared];
  WireReader reader(change.fields);
  WireField field;
  while (reader.next(field)) out[field.number] += field.slice;
  return out;
}

std::optional<std::uint64_t> scalar_of(ByteView fields, std::uint32_t number) {
  WireReader reader(fields);
  WireField field;
  while (number != 0 && reader.next(field)) {
    if (field.number == number && field.type == WireType::kVarint) return field.scalar;
  }
  return std::nullopt;
}

}  // namespace

Result<const TrailWriter::Known*> TrailWriter::known(RecordId record) {
  const auto found = known_.find(record);
  if (found != known_.end()) return found->second.get();
  auto of = std::make_unique<Known>();
  WRACKLINE_TRY_VALUE(history, replica_.store().records().history(replica_.store().logs().find_place(record)));
  of->history = std::move(history);
  WRACKLINE_TRY_VALUE(chain, belonging_.chain_of(record));
  of->chain = std::move(chain);
  WRACKLINE_TRY_VALUE(area, belonging_.area_of(of->chain));
  of->area = std::move(area);
  if (const auto day = Belonging::day_of(of->chain)) {
    of->days.insert(*day);
    // One that was moved to another day is still of the day it was closed with.
    const std::uint32_t day_field = of->chain.front().row->key.day;
    const auto& fields = of->history->folded.fields;
    if (const auto field = fields.find(day_field); day_field != 0 && field != fields.end()) {
      for (const Assignment& a : field->second.assignments) {
        if (const auto value = scalar_of(a.slice, day_field)) of->days.insert(static_cast<Day>(unzigzag(*value)));
      }
    }
  }
  of->built_in = built_in_of(of->history->folded.merged());
  if (known_.size() >= kKnownMost) known_.clear();
  return known_.emplace(record, std::move(of)).first->second.get();
}

Status TrailWriter::put_close(const Change& change, RecordId record, const Known& of, proto::TrailEntry& out) {
  for (const Day day : of.days) {
    WRACKLINE_TRY_VALUE(closes, closes_.of_day(day));
    for (const KnownClose& close : *closes) {
      if (!close.is_amended_by(id_of(out.change()), change.entered_ms(), record, of.area)) continue;
      out.set_after_close(true);
      put_id(close.id, *out.mutable_close());
      out.set_came_later(change.entered_ms() <= close.entered_ms);
      return {};
    }
  }
  return {};
}

// All entries of one change share this.
Status TrailWriter::put_origin(Place place, const Change& change, const Known& of, proto::TrailEntry& out) {
  Store& store = replica_.store();
  const ChangeId id = store.logs().id_of(place);
  const RecordId record = change.is_birth() ? id : change.record;
  put_id(id, *out.mutable_change());
  put_id(record, *out.mutable_record());
  out.set_kind(of.history->folded.kind != 0 ? of.history->folded.kind : change.kind);
  out.set_entered_ms(change.entered_ms());
  out.set_reason(Bytes(change.reason));
  out.set_birth(change.is_birth());
  if (change.author) {
    put_id(change.author, *out.mutable_author());
    WRACKLINE_TRY_VALUE(name, belonging_.roster().name_of(change.author));
    out.set_author_name(name);
  }
  const auto [device, is_new] = devices_.try_emplace(id.log);
  const LogEntry* log = store.logs().find(id.log);
  if (is_new && log != nullptr && log->opening) {
    WRACKLINE_TRY_VALUE(found, replica_.devices().find(log->opening->device));
    device->second = found.name;
  }
  out.set_device_name(device->second);
  WRACKLINE_TRY_VALUE(arrival, store.records().arrivals().covering(place, replica_.devices().hub()));
  if (arrival) out.set_held_ms(arrival->held_ms);
  const WallMs reference = arrival ? arrival->held_ms : replica_.now();
  if (log != nullptr && log->opening) {
    WRACKLINE_TRY_VALUE(authorship, authorship_of(replica_, place, change, reference));
    out.set_authorship(authorship);
    WRACKLINE_TRY_VALUE(asked_from, replica_.hub_acts().asked_from(id, change.author));
    WRACKLINE_TRY_VALUE(asking_device, belonging_.roster().name_of(asked_from));
    if (asked_from) out.set_asked_from(asking_device);
  }
  out.set_clock_suspect(change.entered_ms() > reference + HybridClock::kAheadMaxMs);
  out.set_held(store.records().holds().is_held(place));
  const KindRow* row = find_kind(out.kind());
  const auto said = row == nullptr ? std::nullopt : scalar_of(change.fields, row->happened_field);
  const WallMs happened = said ? *said : Belonging::happened_ms(of.chain);
  if (happened != 0) out.set_happened_ms(happened);
  return put_close(change, record, of, out);
}

Status TrailWriter::append(Place place, std::vector<proto::TrailEntry>& out) {
  Store& store = replica_.store();
  WRACKLINE_TRY_VALUE(bytes, store.logs().content_of(place));
  if (bytes.empty()) return {};
  const Bytes content(bytes);
  WRACKLINE_TRY_VALUE(change, read_change(content));
  const ChangeId id = store.logs().id_of(place);
  WRACKLINE_TRY_VALUE(of, known(change.is_birth() ? id : change.record));
  const Folded& history = of->history->folded;
  proto::TrailEntry origin;
  WRACKLINE_TRY(put_origin(place, change, *of, origin));
  const auto input = std::find_if(history.inputs.begin(), history.inputs.end(), [&](const FoldInput& i) { return i.id == id; });
  const std::size_t index = static_cast<std::size_t>(input - history.inputs.begin());
  const bool is_against = input != history.inputs.end() && is_against_strike(history, index);
  for (const auto& [number, slice] : said_by(change)) {
    proto::TrailEntry& entry = out.emplace_back(origin);
    entry.set_field(number);
    entry.set_value(slice);
    const auto found = history.fields.find(number);
    if (input != history.inputs.end() && found != history.fields.end()) {
      const FoldedField* field = &found->second;
      const auto assignment = std::find_if(field->assignments.begin(), field->assignments.end(),
                                           [index](const Assignment& a) { return a.input == index; });
      entry.set_head(assignment != field->assignments.end() && assignment->head);
      entry.set_against_strike(entry.head() && is_against);
      entry.set_disagrees(entry.against_strike() || (entry.head() && field->in_disagreement()));
    }
    put_replaced(history, number, change, entry);
    // An officer's word about a record says nothing of the event, however late it comes.
    const bool is_content = number < kStandingField;
    entry.set_late(is_late(is_content ? origin.happened_ms() : 0, origin.entered_ms(), origin.held_ms()));
    entry.set_struck(of->built_in.struck || number == kStandingField);
    entry.set_folded(static_cast<bool>(of->built_in.folded_into) || number == kSameAsField);
  }
  return {};
}

Status TrailWriter::append_all(RecordId record, std::vector<proto::TrailEntry>& out) {
  Store& store = replica_.store();
  const Place birth = store.logs().find_place(record);
  WRACKLINE_TRY_VALUE(places, store.records().edits(birth));
  places.push_back(birth);
  std::vector<std::tuple<std::uint64_t, ChangeId, Place>> order;
  for (const Place place : places) {
    WRACKLINE_TRY_VALUE(bytes, store.logs().bytes_of(place));
    if (bytes.empty()) continue;
    WRACKLINE_TRY_VALUE(change, read_change(bytes));
    order.emplace_back(change.stamp.value, store.logs().id_of(place), place);
  }
  std::sort(order.begin(), order.end());
  for (const auto& [stamp, id, place] : order) WRACKLINE_TRY(append(place, out));
  return {};
}

}  // namespace wrackline
