#include "simulation/naive_merge.h"

#include <change.pb.h>

#include <algorithm>

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "crypto/sha256.h"
#include "model/hold.h"
#include "model/kinds.h"
#include "simulation/finding.h"

namespace wrackline {
namespace {

struct Read {
  const PlainChange* change = nullptr;
  proto::Change message;
  std::uint32_t check = 0;
  std::map<std::uint32_t, Bytes> values;
  bool is_birth() const { return !message.has_record(); }
  RecordId record() const { return is_birth() ? change->id : RecordId{LogId{message.record().log()}, message.record().seq()}; }
};

Read read(const PlainChange& change) {
  Read out;
  out.change = &change;
  expect(out.message.ParseFromString(change.content), "a change that is held cannot be read");
  out.check = first4(sha256(change.bytes));
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
  return reader.next(field) && field.scalar == kStruck;
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
  for (const Read& change : all) {
    const RecordId record = change.record();
    // Nobody has seen a later change of the same log.
    if (!change.is_birth() && record.log == change.change->id.log && record.seq >= change.change->id.seq) continue;
    const bool is_held = held.count(change.change->id) != 0;
    // A record of which only a held edit is known is one that has not arrived, and counts as such.
    if (!is_held || !change.is_birth()) out[record];
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
  // An edit of a hold may be held itself, by an earlier hold: until nothing changes.
  std::set<ChangeId> held;
  for (int round = 0; round < 10; ++round) {
    Reads records = by_record(all, held);
    std::set<ChangeId> next;
    for (const auto& [id, birth] : holds) {
      PlainRecord record = merge(records[id]);
      const Bytes fields = record.merged();
      if (record.kind == 0 || is_strike(record.fields[kStandingField].shown) || !record.fields[kSameAsField].shown.empty()) continue;
      const HeldChanges named = held_changes(fields);
      for (Seq seq = named.first; named.log && seq <= named.last; ++seq) next.insert({named.log, seq});
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
