// A bundle file at the north tablet. Oracle: a dry run changes nothing and says what the import then does; an error keeps
// nothing; after an import nothing held before is gone, the tablet verifies and is what a rebuild gives, and a second import
// brings nothing.
#include <exchange.pb.h>

#include <optional>

#include "fuzz_oracles.h"
#include "sealed_mutator.h"
#include "wire_mutator.h"

namespace wrackline::fuzz {
namespace {

constexpr std::size_t kMagicBytes = 8, kTrailerBytes = 32;

void run(ByteView input) {
  World& world = World::get();
  Replica& north = world.use(Role::kNorth);
  const auto tried = north.import_bundle(input, true);
  insist_untouched(north, Role::kNorth, "a dry run of an import");
  const auto taken = north.import_bundle(input, false);
  insist(tried.has_value() == taken.has_value(), "a dry run ends as the import does");
  if (!taken) {
    insist(tried.error().code == taken.error().code, "a dry run is refused as the import is");
    insist_untouched(north, Role::kNorth, "an import");
    return;
  }
  insist(tried->new_here == taken->new_here && tried->in_file == taken->in_file, "a dry run counts what the import takes in");
  const bool came_in = insist_sound(north, Role::kNorth, "an import");
  world.spoil(Role::kNorth);
  insist(!came_in || taken->new_here > 0, "what came in is counted");
  const Standing once = standing_of(north);
  const auto again = north.import_bundle(input, false);
  insist(again.has_value() && again->new_here == 0, "a second import brings nothing new");
  insist(standing_of(north) == once, "a second import changes nothing");
}

std::optional<std::vector<Bytes>> frames_of(ByteView file) {
  if (file.size() < kMagicBytes + kTrailerBytes) return std::nullopt;
  ByteView rest = file.substr(kMagicBytes, file.size() - kMagicBytes - kTrailerBytes);
  std::vector<Bytes> frames;
  while (!rest.empty()) {
    if (rest.size() < 4) return std::nullopt;
    const std::size_t size = load_le(rest.substr(0, 4));
    if (size > rest.size() - 4) return std::nullopt;
    frames.emplace_back(rest.substr(4, size));
    rest.remove_prefix(4 + size);
  }
  if (frames.empty()) return std::nullopt;
  return frames;
}

// A file again, with the hash that its bytes have.
Bytes file_of(ByteView magic, const std::vector<Bytes>& frames) {
  Bytes out(magic);
  for (const Bytes& frame : frames) {
    append_le(out, frame.size(), 4);
    out += frame;
  }
  out += view(sha256(out));
  return out;
}

Bytes mutate(ByteView input, Random& random) {
  auto frames = frames_of(input);
  if (!frames || random.once_in(30)) return mutate_bytes(input, random);
  const ByteView magic = input.substr(0, kMagicBytes);
  proto::BundleHeader header;
  const bool is_whole = header.ParseFromString(frames->front()) && frames->size() == 1 + std::uint64_t{header.segments()};
  if (!is_whole || random.once_in(4)) {
    Bytes& frame = (*frames)[static_cast<std::size_t>(random.below(frames->size()))];
    frame = mutate_message(frame, random);
    return file_of(magic, *frames);
  }
  google::protobuf::RepeatedPtrField<proto::Segment> segments;
  for (std::size_t i = 1; i < frames->size(); ++i) {
    if (!segments.Add()->ParseFromString((*frames)[i])) return mutate_bytes(input, random);
  }
  mutate_segments(segments, random);
  header.set_segments(static_cast<std::uint32_t>(segments.size()));
  std::vector<Bytes> made{header.SerializeAsString()};
  for (const proto::Segment& segment : segments) made.push_back(segment.SerializeAsString());
  return file_of(magic, made);
}

std::vector<Seed> seeds() {
  std::vector<Seed> out;
  for (const Bytes& bundle : World::get().bundles()) out.push_back({"bundle", bundle});
  return out;
}

}  // namespace

const Target kBundleTarget{"bundle", run, mutate, seeds};

}  // namespace wrackline::fuzz
