// A change as a device sends it. Oracle: what is read can be written, and read again it is the same; folding it, and the rules
// of its kind, take whatever is in it.
#include "log/change.h"

#include "fuzz_world.h"
#include "model/kinds.h"
#include "state/fold.h"
#include "target.h"
#include "wire_mutator.h"

namespace wrackline::fuzz {
namespace {

bool is_same(const Change& a, const Change& b) {
  if (a.replaces.size() != b.replaces.size()) return false;
  for (std::size_t i = 0; i < a.replaces.size(); ++i) {
    if (a.replaces[i].change != b.replaces[i].change || a.replaces[i].check != b.replaces[i].check ||
        a.replaces[i].fields != b.replaces[i].fields)
      return false;
  }
  return a.stamp.value == b.stamp.value && a.wall_behind_ms == b.wall_behind_ms && a.kind == b.kind && a.record == b.record &&
         a.author == b.author && a.fields == b.fields && a.clears == b.clears && a.reason == b.reason;
}

void run(ByteView input) {
  const auto change = read_change(input);
  if (!change) {
    insist(change.error().code == ErrorCode::kMalformed || change.error().code == ErrorCode::kTooLarge,
           "a change is refused as malformed or too large");
    return;
  }
  insist(input.size() <= kChangeBytesMax, "a change over the limit is refused");
  const Bytes written = write_change(*change);
  if (written.size() <= kChangeBytesMax) {
    const auto again = read_change(written);
    insist(again.has_value(), "a change that was read and written can be read again");
    insist(is_same(*change, *again), "a change that was written and read again is the same");
    insist(write_change(*again) == written, "a change is written in one way");
  }

  const ChangeId id{LogId{77}, 5};
  const RecordId record = change->is_birth() ? id : change->record;
  const Folded folded = fold(record, {{id, first4(sha256(input)), *change}, {id, first4(sha256(input)), *change}});
  insist(folded.inputs.size() == 1, "a change that came twice is folded once");
  const Bytes merged = folded.merged();
  if (change->is_birth() && change->clears.empty() && change->replaces.empty())
    insist(merged == merged_birth(change->fields), "a record that only its birth has touched merges to what the scan gives");
  built_in_of(merged);
  if (const KindRow* row = find_kind(change->kind)) {
    Problems problems;
    row->validate(merged, problems);
    const RecordKey key = record_key(*row, merged);
    const Bytes brief = fields_of_brief(*row, key);
    const RecordKey again = record_key(*row, brief);
    insist(again.subject == key.subject && again.day == key.day && again.detail == key.detail && again.detail_record == key.detail_record,
           "a record's key is the same when it is read from its brief");
  }
}

std::vector<Seed> seeds() {
  std::vector<Seed> out;
  for (const Bytes& change : World::get().sample_changes()) out.push_back({"change", change});
  return out;
}

}  // namespace

const Target kChangeTarget{"change", run, mutate_message, seeds};

}  // namespace wrackline::fuzz
