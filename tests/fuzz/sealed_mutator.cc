#include "sealed_mutator.h"

#include "fuzz_world.h"
#include "support/made_log.h"
#include "wire_mutator.h"

namespace wrackline::fuzz {

void seal_segment(proto::Segment& segment, const ChangeRun& run, Random& random) {
  const PackedRun packed = random.once_in(2) ? pack_run(run) : pack_run_plain(run);
  segment.set_codec(packed.codec);
  segment.set_body(packed.body);
  segment.set_count(static_cast<std::uint32_t>(run.size()));
  World& world = World::get();
  const LogId id{segment.log()};
  const MadeLog* honest = segment.first_seq() == 0 ? nullptr : world.made_at(id, segment.first_seq() - 1);
  MadeLog log;
  if (honest != nullptr) {
    log = *honest;
  } else {
    log.facility = world.facility();
    log.id = log.sealed_as = id;
    if (const MadeLog* known = world.made_at(id, 0)) log.opening = known->opening;
    (void)copy_exactly(segment.opening().device_key(), log.opening.device);
  }
  Keystore* keystore = world.keystore_of(view(log.opening.device));
  if (keystore == nullptr || run.empty()) return;
  const proto::Segment made = made_segment(log, *keystore, run);
  segment.set_seeds(made.seeds());
  *segment.mutable_sealing() = made.sealing();
}

void mutate_segment(proto::Segment& segment, Random& random) {
  const auto run = unpack_run(segment.codec(), segment.body(), segment.count());
  if (!run || run->empty() || random.once_in(12)) {
    const Bytes changed = mutate_message(segment.SerializeAsString(), random);
    proto::Segment parsed;
    if (parsed.ParseFromString(changed)) segment = parsed;
    return;
  }
  std::vector<Bytes> changes;
  for (std::size_t i = 0; i < run->size(); ++i) changes.emplace_back((*run)[i]);
  const auto at = static_cast<std::size_t>(random.below(changes.size()));
  switch (random.below(12)) {
    case 0:
      if (changes.size() > 1) changes.erase(changes.begin() + static_cast<std::ptrdiff_t>(at));
      break;
    case 1: changes.push_back(changes[at]); break;
    case 2: std::swap(changes[at], changes[static_cast<std::size_t>(random.below(changes.size()))]); break;
    case 3: changes.push_back(random.pick(World::get().sample_changes())); break;
    case 4: changes.resize(at + 1); break;
    case 5: {  // Another log of the device, or one of somebody else.
      World& world = World::get();
      MadeLog fresh = made_log(world.facility(), world.keystore(static_cast<Role>(random.below(3))).public_key(), random.below(3));
      segment.set_log(random.once_in(2) ? fresh.id.value : random.below(4));
      *segment.mutable_opening() = made_opening(fresh.opening);
      segment.set_first_seq(1);
      break;
    }
    case 6:  // Somewhere else in the log: a gap, an overlap, the far end.
      segment.set_first_seq(random.once_in(2) ? segment.first_seq() + static_cast<Seq>(random.below(3)) - 1 : static_cast<Seq>(odd_number(random)));
      break;
    case 7:  // Begins later, as it was.
      changes.erase(changes.begin(), changes.begin() + static_cast<std::ptrdiff_t>(at));
      segment.set_first_seq(segment.first_seq() + static_cast<Seq>(at));
      break;
    default: changes[at] = mutate_message(changes[at], random);
  }
  ChangeRun changed;
  for (const Bytes& change : changes) changed.append(change);
  seal_segment(segment, changed, random);
}

void mutate_segments(google::protobuf::RepeatedPtrField<proto::Segment>& segments, Random& random) {
  if (segments.empty()) return;
  const int at = static_cast<int>(random.below(static_cast<std::uint64_t>(segments.size())));
  const int other = static_cast<int>(random.below(static_cast<std::uint64_t>(segments.size())));
  switch (random.below(10)) {
    case 0: segments.SwapElements(at, other); break;
    case 1: segments.DeleteSubrange(at, 1); break;
    case 2: {
      // Beside the one there is: a second branch of its log.
      proto::Segment copy = segments[at];
      mutate_segment(copy, random);
      *segments.Add() = copy;
      break;
    }
    default: mutate_segment(segments[at], random);
  }
}

}  // namespace wrackline::fuzz
