#include "support/change_world.h"

#include <map>
#include <set>

#include "base/wire.h"

namespace wrackline {

FoldInput RecordHistory::input(std::size_t i) const {
  auto change = read_change(bytes[i]);
  return {ids[i], first4(sha256(bytes[i])), *change};  // A fold compares checks, whatever they are of.
}

RecordHistory random_history(Random& random, std::size_t edits_max) {
  RecordHistory history;
  std::vector<LogId> logs;
  std::map<LogId, Seq> heads;
  for (int i = 0; i < 4; ++i) logs.push_back(LogId{random.next() | 1});
  const std::vector<std::uint32_t> numbers = {1, 2, 3, 7, 900, 1000};
  const std::size_t edits = random.below(edits_max + 1);
  for (std::size_t i = 0; i <= edits; ++i) {
    const LogId log = random.pick(logs);
    const ChangeId id{log, heads[log] += 1 + static_cast<Seq>(random.below(3))};
    Change change;
    // Clocks that agree with nothing: stamps may even be equal or run backwards between devices.
    change.stamp =
        Stamp::of(1'700'000'000'000 + random.below(5) * 1000, static_cast<std::uint32_t>(random.below(2)));
    Bytes fields;
    std::set<std::uint32_t> assigned;
    for (std::size_t f = 0; f < 1 + random.below(3); ++f) {
      const std::uint32_t number = random.pick(numbers);
      if (!assigned.insert(number).second) continue;
      append_varint_field(fields, number, random.below(100));
      if (random.once_in(4))
        append_bytes_field(fields, number, random.bytes(random.below(6)));  // Repeated field.
    }
    if (i == 0) {
      history.record = id;
      change.kind = 4;
    } else {
      change.record = history.record;
      if (random.once_in(5)) change.clears.push_back(random.pick(numbers));
      // The changes that the author had seen: all there were, or some of them.
      std::vector<FoldInput> seen;
      const bool sees_all = random.once_in(2);
      for (std::size_t k = 0; k < history.size(); ++k) {
        if (sees_all || random.once_in(2)) seen.push_back(history.input(k));
      }
      const Folded folded = fold(history.record, std::move(seen));
      std::set<std::uint32_t> all = assigned;
      all.insert(change.clears.begin(), change.clears.end());
      std::map<std::size_t, Replaced> replaced;
      for (const auto& [number, field] : folded.fields) {
        if (all.count(number) == 0) continue;
        for (const Assignment& a : field.assignments) {
          if (!a.head) continue;
          Replaced& r = replaced[a.input];
          r.change = folded.inputs[a.input].id;
          r.check = folded.inputs[a.input].check;
          r.fields.push_back(number);
        }
      }
      for (auto& [input, r] : replaced) change.replaces.push_back(r);
    }
    change.fields = fields;
    history.bytes.push_back(write_change(change));
    history.ids.push_back(id);
  }
  return history;
}

}  // namespace wrackline
