#include "simulation/naive_merge.h"

#include <change.pb.h>

#include <algorithm>
#include <optional>

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "model/hold.h"
#include "model/kinds.h"
#include "simulation/finding.h"

namespace wrackline {
namespace {

struct Read {
  const PlainChange* change = nullptr;
  proto::Change message;
  std::uint32_t check = 0;
  std::optional<std::uint32_t> record_check;  // An edit may have none.
  RecordId record;
  std::map<std::uint32_t, Bytes> values;
  bool is_birth() const { return !message.has_record(); }
};

Read read(const PlainChange& change) {
  Read out;
  out.change = &change;
  expect(out.message.ParseFromString(change.content), "a change that is held cannot be read");
  out.check = change.check;
  out.record = out.is_birth() ? change.id : RecordId{LogId{out.message.record().log()}, out.message.record().seq()};
  WireReader whole(change.content);
  for (WireField field; whole.next(field);) {
    if (field.number == proto::Change::kRecordCheckFieldNumber) out.record_check = static_cast<std::uint32_t>(field.scalar);
  }
  WireReader fields(out.message.fields());
  for (WireField field; fields.next(field);) out.values[field.number] += field.slice;
  for (const std::uint32_t cleared : out.message.clears()) out.values.emplace(cleared, Bytes());
  return out;
}

bool names(const Read& by, const Read& other, std::uint32_t field) {
  for (const proto::Replaced& replaced : by.message.replaces()) {
    if (ChangeId{LogId{replaced.log()}, replaced.seq()} != other.change->id || replaced.check() != other.check) continue;
    if (std::count(replaced.fields().begin(), replaced.fields().end(), field) != 0) return true;
  }
  return false;
}

bool is_strike(const Bytes& standing) {
  WireReader reader(standing);
  WireField field;
  return reader.next(field) && field.type == WireType::kVarint && field.scalar == kStruck;
}

// Struck, or folded into some record; what is no reference folds into none.
bool is_taken_back(const Bytes& fields) {
  bool is_struck = false, is_folded = false;
  WireReader reader(fields);
  for (WireField field; reader.next(field);) {
    if (field.number == kStandingField && field.type == WireType::kVarint) is_struck = field.scalar == kStruck;
    if (field.number != kSameAsField) continue;
    proto::RecordRef into;
    is_folded = into.ParseFromArray(field.bytes.data(), static_cast<int>(field.bytes.size())) && into.log() != 0 && into.seq() != 0;
  }
  return is_struck || is_folded;
}

PlainRecord merge(const std::vector<const Read*>& changes) {
  PlainRecord out;
  for (const Read* change : changes) {
    if (change->is_birth()) out.kind = change->message.kind();
    if (!change->is_birth()) out.is_edited = true;
    for (const auto& [number, value] : change->values) out.fields[number].values[change->change->id] = value;
  }
  std::map<ChangeId, const Read*> by_id;
  for (const Read* change : changes) by_id[change->change->id] = change;
  for (auto& [number, field] : out.fields) {
    for (const auto& [id, value] : field.values) {
      const bool is_replaced = std::any_of(field.values.begin(), field.values.end(), [&, n = number, at = id](const auto& other) {
        return other.first != at && names(*by_id[other.first], *by_id[at], n);
      });
      if (!is_replaced) field.heads.insert(id);
    }
    const auto later = [&](ChangeId a, ChangeId b) {
      return std::make_pair(by_id[a]->message.stamp(), a) < std::make_pair(by_id[b]->message.stamp(), b);
    };
    expect(!field.heads.empty(), "a field has values and none stands");
    field.shown = field.values[*std::max_element(field.heads.begin(), field.heads.end(), later)];
    if (number != kConfirmationField && field.heads.size() > 1) field.disagreement = field.heads;
  }
  // A strike speaks of the whole record: it disagrees with every standing value whose author did not know of it, and of
  // which it did not know.
  const auto standing = out.fields.find(kStandingField);
  if (standing == out.fields.end()) return out;
  std::set<ChangeId> against;
  for (const ChangeId strike : standing->second.heads) {
    if (!is_strike(standing->second.values[strike])) continue;
    for (const auto& [number, field] : out.fields) {
      if (number == kStandingField) continue;
      for (const ChangeId head : field.heads) {
        const Read& value = *by_id[head];
        if (value.is_birth() || head == strike) continue;
        if (!names(*by_id[strike], value, number) && !names(value, *by_id[strike], kStandingField)) against.insert(head);
      }
    }
  }
  if (against.empty()) return out;
  against.insert(standing->second.heads.begin(), standing->second.heads.end());
  standing->second.disagreement = against;
  return out;
}

using Reads = std::map<RecordId, std::vector<const Read*>>;

Reads by_record(const std::vector<Read>& all, const std::set<ChangeId>& held) {
  Reads out;
  std::map<ChangeId, std::uint32_t> checks;
  for (const Read& change : all) checks[change.change->id] = change.check;
  for (const Read& change : all) {
    const RecordId record = change.record;
    // Nobody has seen a later change of the same log.
    if (!change.is_birth() && record.log == change.change->id.log && record.seq >= change.change->id.seq) continue;
    const bool is_held = held.count(change.change->id) != 0;
    // A record of which only an edit is known, held or meant for another, is one that has not arrived, and counts as such.
    if (!is_held || !change.is_birth()) out[record];
    // Meant for the record of another branch, which is not here.
    const auto birth = checks.find(record);
    if (!change.is_birth() && change.record_check && birth != checks.end() && *change.record_check != birth->second) continue;
    if (!is_held) out[record].push_back(&change);
  }
  return out;
}

std::set<ChangeId> held_among(const std::vector<Read>& all) {
  std::map<RecordId, const Read*> holds;
  for (const Read& change : all) {
    if (change.is_birth() && change.change->is_of_hub && change.message.kind() == static_cast<std::uint32_t>(Kind::kHold)) {
      holds[change.change->id] = &change;
    }
  }
  std::set<ChangeId> of_hub;
  std::map<ChangeId, const Read*> decides_on;  // The hold that a change edits.
  for (const Read& change : all) {
    if (change.change->is_of_hub) of_hub.insert(change.change->id);
    const auto hold = holds.find(change.record);
    if (!change.is_birth() && hold != holds.end()) decides_on[change.change->id] = hold->second;
  }
  const auto is_later = [](const Read& a, const Read& b) {
    return std::make_pair(b.message.stamp(), b.change->id) < std::make_pair(a.message.stamp(), a.change->id);
  };
  // An edit of a hold may be held itself, by a later hold: until nothing changes, which each round brings one hold nearer.
  std::set<ChangeId> held;
  for (std::size_t round = 0; round < holds.size() + 2; ++round) {
    Reads records = by_record(all, held);
    std::set<ChangeId> next;
    for (const auto& [id, birth] : holds) {
      PlainRecord record = merge(records[id]);
      const Bytes fields = record.merged();
      if (record.kind == 0 || is_taken_back(fields)) continue;
      const HeldChanges named = held_changes(fields);
      for (Seq seq = named.first; named.log && seq <= named.last; ++seq) {
        const ChangeId change{named.log, seq};
        const auto edited = decides_on.find(change);
        if (of_hub.count(change) != 0 || (edited != decides_on.end() && !is_later(*birth, *edited->second))) continue;
        next.insert(change);
      }
    }
    if (next == held) break;
    held = next;
  }
  return held;
}

std::vector<Read> read_all(const std::vector<PlainChange>& changes) {
  std::vector<Read> all;
  all.reserve(changes.size());
  for (const PlainChange& change : changes) all.push_back(read(change));
  // An author who edited a record of a log that was continued twice, and knew of no branch, says by the check which is meant.
  std::multimap<ChangeId, const Read*> births;
  for (const Read& birth : all) {
    if (birth.is_birth()) births.emplace(ChangeId{birth.change->root, birth.change->id.seq}, &birth);
  }
  for (Read& edit : all) {
    if (edit.is_birth() || !edit.record_check) continue;
    const auto [first, last] = births.equal_range(edit.record);
    const auto meant = std::find_if(first, last, [&](const auto& birth) { return birth.second->check == *edit.record_check; });
    if (meant != last) edit.record = meant->second->change->id;
  }
  return all;
}

}  // namespace

Bytes PlainRecord::merged() const {
  Bytes out;
  for (const auto& [number, field] : fields) out += field.shown;
  return out;
}

std::set<ChangeId> held_plainly(const std::vector<PlainChange>& changes) { return held_among(read_all(changes)); }

std::map<RecordId, PlainRecord> merge_plainly(const std::vector<PlainChange>& changes) {
  const std::vector<Read> all = read_all(changes);
  std::map<RecordId, PlainRecord> out;
  for (const auto& [id, touching] : by_record(all, held_among(all))) out[id] = merge(touching);
  return out;
}

}  // namespace wrackline
