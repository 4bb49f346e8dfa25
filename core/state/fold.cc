#include "state/fold.h"

#include <algorithm>
#include <map>
#include <set>

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

// Finds it by its input, as all assignments of a field are sorted.
std::vector<Assignment>::iterator assignment_of(FoldedField& field, std::size_t input) {
  auto found = std::lower_bound(field.assignments.begin(), field.assignments.end(), input,
                                [](const Assignment& a, std::size_t wanted) { return a.input < wanted; });
  return found != field.assignments.end() && found->input == input ? found : field.assignments.end();
}

bool strikes(const Assignment& standing) {
  WireReader reader(standing.slice);
  WireField field;
  return reader.next(field) && field.type == WireType::kVarint && field.scalar == kStruck;
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

// Replacing means giving another value: a change that only says so, without one, replaces nothing. And an assignment falls
// only when another change names it: its change, its field and the check of its bytes.
void Folded::replace(std::size_t by, const Replaced& replaced) {
  const auto found = places_.find(replaced.change);
  if (found == places_.end() || found->second == by || inputs[found->second].check != replaced.check) return;
  for (const std::uint32_t number : replaced.fields) {
    const auto at = fields.find(number);
    if (at == fields.end()) continue;
    FoldedField& field = at->second;
    if (assignment_of(field, by) == field.assignments.end()) continue;
    const auto fallen = assignment_of(field, found->second);
    if (fallen == field.assignments.end() || !fallen->head) continue;
    fallen->head = false;
    --field.heads;
  }
}

void Folded::take(FoldInput latest) {
  const std::size_t i = inputs.size();
  inputs.push_back(std::move(latest));
  const FoldInput& input = inputs.back();
  const Change& change = input.change;
  places_.emplace(input.id, i);
  if (input.id == record) kind = change.kind;
  auto slices = slices_of(change.fields);
  for (const std::uint32_t cleared : change.clears) slices.try_emplace(cleared);
  for (auto& [number, slice] : slices) {
    FoldedField& field = fields[number];
    field.number = number;
    if (planted("trust-the-clock")) {
      for (Assignment& before : field.assignments) before.head = false;
      field.heads = 0;
    }
    field.assignments.push_back({i, std::move(slice), true});
    ++field.heads;
  }
  for (std::size_t r = 0; r < change.replaces.size(); ++r) {
    const Replaced& replaced = change.replaces[r];
    if (places_.count(replaced.change) == 0) awaited_[replaced.change].emplace_back(i, r);
    replace(i, replaced);
  }
  // A writer whose clock was put back may have been replaced by a change with an earlier stamp.
  const auto awaited = awaited_.find(input.id);
  if (awaited == awaited_.end()) return;
  for (const auto& [by, r] : awaited->second) replace(by, inputs[by].change.replaces[r]);
  awaited_.erase(awaited);
}

// Finds the standing values of other fields that did not know of a standing strike, nor it of them. Whoever strikes a
// record has seen its birth, and who struck it while editing knew of the edit.
void Folded::compare_strikes() {
  const auto at = fields.find(kStandingField);
  if (at == fields.end()) return;
  FoldedField& standing = at->second;
  standing.against.clear();
  if (planted("forget-a-strike")) return;
  std::set<std::size_t> by;
  for (const Assignment& strike : standing.assignments) {
    if (strike.head && strikes(strike)) by.insert(strike.input);
  }
  if (by.empty()) return;
  // Each strike is kept with what it names, and each change with the strikes it names, so that nobody is compared with everybody.
  const auto is_meant = [this](const Replaced& replaced) {
    const auto found = places_.find(replaced.change);
    return found != places_.end() && inputs[found->second].check == replaced.check;
  };
  std::map<std::pair<std::size_t, std::uint32_t>, std::set<std::size_t>> named_by;
  for (const std::size_t strike : by) {
    for (const Replaced& replaced : inputs[strike].change.replaces) {
      if (!is_meant(replaced)) continue;
      for (const std::uint32_t number : replaced.fields) named_by[{places_[replaced.change], number}].insert(strike);
    }
  }
  const auto strikes_known_to = [&](std::size_t input) {
    std::set<std::size_t> out;
    if (by.count(input) != 0) out.insert(input);
    for (const Replaced& replaced : inputs[input].change.replaces) {
      if (std::find(replaced.fields.begin(), replaced.fields.end(), kStandingField) == replaced.fields.end()) continue;
      if (is_meant(replaced) && by.count(places_[replaced.change]) != 0) out.insert(places_[replaced.change]);
    }
    return out;
  };
  std::map<std::size_t, std::set<std::size_t>> known_to;
  std::set<std::size_t> against;
  for (const auto& [number, field] : fields) {
    if (number == kStandingField) continue;
    for (const Assignment& value : field.assignments) {
      if (!value.head || inputs[value.input].change.is_birth()) continue;
      const auto [known, is_new] = known_to.try_emplace(value.input);
      if (is_new) known->second = strikes_known_to(value.input);
      std::size_t mutual = known->second.size();
      if (const auto named = named_by.find({value.input, number}); named != named_by.end()) {
        for (const std::size_t strike : named->second) mutual += known->second.count(strike) == 0;
      }
      if (mutual != by.size()) against.insert(value.input);
    }
  }
  standing.against.assign(against.begin(), against.end());
}

bool Folded::add(FoldInput latest) {
  if (!inputs.empty() && !earlier(inputs.back(), latest)) return false;
  if (places_.count(latest.id) != 0) return false;
  take(std::move(latest));
  compare_strikes();
  return true;
}

Folded fold(RecordId record, std::vector<FoldInput> inputs) {
  std::sort(inputs.begin(), inputs.end(), earlier);
  Folded folded(record);
  folded.inputs.reserve(inputs.size());
  for (FoldInput& input : inputs) {
    if (folded.places_.count(input.id) == 0) folded.take(std::move(input));
  }
  if (planted("drop-a-head")) {
    for (auto& [number, field] : folded.fields) {
      for (std::size_t i = 0; i + 1 < field.assignments.size(); ++i) {
        if (!field.assignments[i].head || !field.assignments[i + 1].head) continue;
        field.assignments[i].head = false;
        --field.heads;
        break;
      }
    }
  }
  folded.compare_strikes();
  return folded;
}

Bytes Folded::merged() const {
  Bytes out;
  for (const auto& [number, field] : fields) out += field.displayed().slice;
  return out;
}

Bytes Folded::disagreements() const {
  Bytes out;
  for (const auto& [number, field] : fields) {
    if (!field.in_disagreement()) continue;
    std::vector<ChangeId> heads;
    for (const Assignment& a : field.assignments) {
      if (a.head) heads.push_back(inputs[a.input].id);
    }
    for (std::size_t input : field.against) heads.push_back(inputs[input].id);
    std::sort(heads.begin(), heads.end());
    append_varint(out, number);
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
