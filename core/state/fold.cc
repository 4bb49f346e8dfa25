#include "state/fold.h"

#include <algorithm>
#include <map>

#include "base/planted.h"
#include "base/wire.h"

namespace wrackline {
namespace {

// The slices of each top-level field, in order of appearance: a repeated field is one value.
std::map<std::uint32_t, Bytes> slices_of(ByteView fields) {
  std::map<std::uint32_t, Bytes> slices;
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) {
    if (planted("lose-unknown-fields") && field.number >= 900 && field.number < kStandingField) continue;
    slices[field.number] += field.slice;
  }
  return slices;
}

bool earlier(const FoldInput& a, const FoldInput& b) {
  if (!(a.change.stamp == b.change.stamp)) return a.change.stamp < b.change.stamp;
  return a.id < b.id;
}

bool names(const Change& change, const FoldInput& other, std::uint32_t field) {
  return std::any_of(change.replaces.begin(), change.replaces.end(), [&](const Replaced& r) {
    return r.change == other.id && r.check == other.check &&
           std::find(r.fields.begin(), r.fields.end(), field) != r.fields.end();
  });
}

bool strikes(const Assignment& standing) {
  WireReader reader(standing.slice);
  WireField field;
  return reader.next(field) && field.type == WireType::kVarint && field.scalar == kStruck;
}

// Which standing values of other fields and a standing strike do not know of each other.
std::vector<std::size_t> edits_against_strikes(const Folded& folded, const FoldedField& standing) {
  std::vector<std::size_t> against;
  if (planted("forget-a-strike")) return against;
  for (const Assignment& strike : standing.assignments) {
    if (!strike.head || !strikes(strike)) continue;
    const FoldInput& by = folded.inputs[strike.input];
    for (const FoldedField& field : folded.fields) {
      if (field.number == kStandingField) continue;
      for (const Assignment& value : field.assignments) {
        const FoldInput& other = folded.inputs[value.input];
        // Who strikes a record has seen its birth, and who struck it while editing knew of the edit.
        if (!value.head || other.change.is_birth() || value.input == strike.input) continue;
        if (names(by.change, other, field.number) || names(other.change, by, kStandingField)) continue;
        against.push_back(value.input);
      }
    }
  }
  std::sort(against.begin(), against.end());
  against.erase(std::unique(against.begin(), against.end()), against.end());
  return against;
}

}  // namespace

const Assignment& FoldedField::displayed() const {
  for (auto it = assignments.rbegin(); it != assignments.rend(); ++it) {
    if (it->head) return *it;
  }
  // Unreachable for what authors write: replacing needs to have seen, so replacement has no cycles. Bytes from
  // outside may claim a cycle all the same; then the latest value is shown.
  return assignments.back();
}

Folded fold(RecordId record, std::vector<FoldInput> inputs) {
  std::sort(inputs.begin(), inputs.end(), earlier);
  inputs.erase(std::unique(inputs.begin(), inputs.end(),
                           [](const FoldInput& a, const FoldInput& b) { return a.id == b.id; }),
               inputs.end());
  Folded folded;
  std::map<std::uint32_t, FoldedField> fields;
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const Change& change = inputs[i].change;
    if (inputs[i].id == record) folded.kind = change.kind;
    auto slices = slices_of(change.fields);
    for (std::uint32_t cleared : change.clears) slices.try_emplace(cleared);
    for (auto& [number, slice] : slices) fields[number].assignments.push_back({i, std::move(slice), true});
  }

  // An assignment falls only when another change names it: its change, its field and the check of its bytes.
  std::map<ChangeId, std::size_t> place;
  for (std::size_t i = 0; i < inputs.size(); ++i) place[inputs[i].id] = i;
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    for (const Replaced& replaced : inputs[i].change.replaces) {
      const auto found = place.find(replaced.change);
      if (found == place.end() || found->second == i || inputs[found->second].check != replaced.check) continue;
      for (std::uint32_t number : replaced.fields) {
        const auto field = fields.find(number);
        if (field == fields.end()) continue;
        // Replacing means giving another value: a change that only says so, without one, replaces nothing.
        auto& assignments = field->second.assignments;
        const auto by = std::find_if(assignments.begin(), assignments.end(), [&](const Assignment& a) { return a.input == i; });
        if (by == assignments.end()) continue;
        for (Assignment& a : assignments) {
          if (a.input == found->second) a.head = false;
        }
      }
    }
  }
  for (auto& [number, field] : fields) {
    field.number = number;
    for (std::size_t i = 0, last = field.assignments.size(); i + 1 < last; ++i) {
      if (planted("trust-the-clock")) field.assignments[i].head = false;
      if (!planted("drop-a-head") || !field.assignments[i].head || !field.assignments[i + 1].head) continue;
      field.assignments[i].head = false;
      break;
    }
    field.heads = static_cast<std::size_t>(
        std::count_if(field.assignments.begin(), field.assignments.end(), [](const Assignment& a) { return a.head; }));
    folded.fields.push_back(std::move(field));
  }
  folded.inputs = std::move(inputs);
  for (FoldedField& field : folded.fields) {
    if (field.number == kStandingField) field.against = edits_against_strikes(folded, field);
  }
  return folded;
}

Bytes Folded::merged() const {
  Bytes out;
  for (const FoldedField& field : fields) out += field.displayed().slice;
  return out;
}

Bytes Folded::disagreements() const {
  Bytes out;
  for (const FoldedField& field : fields) {
    if (!field.in_disagreement()) continue;
    std::vector<ChangeId> heads;
    for (const Assignment& a : field.assignments) {
      if (a.head) heads.push_back(inputs[a.input].id);
    }
    for (std::size_t input : field.against) heads.push_back(inputs[input].id);
    std::sort(heads.begin(), heads.end());
    append_varint(out, field.number);
    append_varint(out, heads.size());
    for (ChangeId head : heads) {
      append_le(out, head.log.value, 8);
      append_varint(out, head.seq);
    }
  }
  return out;
}

std::vector<Disagreement> read_disagreements(ByteView bytes) {
  std::vector<Disagreement> out;
  while (!bytes.empty()) {
    std::uint64_t field = 0, count = 0;
    if (!take_varint(bytes, field) || !take_varint(bytes, count)) break;
    Disagreement& d = out.emplace_back();
    d.field = static_cast<std::uint32_t>(field);
    for (std::uint64_t i = 0; i < count && bytes.size() > 8; ++i) {
      ChangeId id;
      id.log.value = load_le(bytes.substr(0, 8));
      bytes.remove_prefix(8);
      std::uint64_t seq = 0;
      if (!take_varint(bytes, seq)) break;
      id.seq = static_cast<Seq>(seq);
      d.heads.push_back(id);
    }
  }
  return out;
}

Bytes merged_birth(ByteView fields) {
  WireReader reader(fields);
  WireField field;
  std::uint32_t last = 0;
  bool in_order = true;
  while (in_order && reader.next(field)) {
    in_order = field.number >= last;
    last = field.number;
  }
  if (in_order) return Bytes(fields);
  Bytes out;
  for (const auto& [number, slice] : slices_of(fields)) out += slice;
  return out;
}

}  // namespace wrackline
