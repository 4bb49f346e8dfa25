// A packed run of changes. An input is the codec (one byte), the count (two, little-endian) and the body. Oracle: no run passes
// the limits, of work too, and one that was unpacked gives the same bytes when it is packed and unpacked again, in either way,
// for no more work than its new size allows.
#include <algorithm>

#include "fuzz_world.h"
#include "log/change.h"
#include "log/change_run.h"
#include "log/columns.h"
#include "log/compression.h"
#include "target.h"
#include "wire_mutator.h"

namespace wrackline::fuzz {
namespace {

constexpr std::size_t kHeadBytes = 3;

Bytes input_of(std::uint32_t codec, std::size_t count, ByteView body) {
  Bytes out;
  append_le(out, codec, 1);
  append_le(out, count, 2);
  out += body;
  return out;
}

bool is_same(const ChangeRun& a, const ChangeRun& b) {
  if (a.size() != b.size()) return false;
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (a[i] != b[i]) return false;
  }
  return true;
}

void insist_packs_to_same(const ChangeRun& run, const PackedRun& packed, const char* how) {
  UnpackWork work(run_work_allowed(packed.body.size()));
  const auto again = unpack_run(packed.codec, packed.body, run.size(), work);
  insist(again.has_value(), std::string("a run that was unpacked and packed ") + how + " can be unpacked again");
  insist(is_same(run, *again), std::string("a run packed ") + how + " gives the same bytes");
}

void run(ByteView input) {
  if (input.size() < kHeadBytes) return;
  const auto codec = static_cast<std::uint32_t>(load_le(input.substr(0, 1)));
  const auto count = static_cast<std::size_t>(load_le(input.substr(1, 2)));
  UnpackWork work(kRunWorkMax);
  const auto unpacked = unpack_run(codec, input.substr(kHeadBytes), count, work);
  insist(work.done() <= kRunWorkMax, "no run is more work than any may be");
  if (!unpacked) {
    const ErrorCode code = unpacked.error().code;
    insist(code == ErrorCode::kMalformed || code == ErrorCode::kTooLarge || code == ErrorCode::kUnsupported,
           "a run is refused as malformed, too large or of a newer release");
    return;
  }
  insist(unpacked->size() == count, "a run has as many changes as it says");
  insist(unpacked->size() <= kRunChangesMax && unpacked->bytes() <= kRunBytesMax, "a run keeps to its limits");
  // Whoever holds an unpacked run may pack it anew; foreign runs are stored as they came.
  insist_packs_to_same(*unpacked, pack_run_plain(*unpacked), "plainly");
  insist_packs_to_same(*unpacked, pack_run(*unpacked), "by columns");
  for (std::size_t i = 0; i < unpacked->size(); ++i) (void)read_change((*unpacked)[i]).has_value();
}

Bytes mutate(ByteView input, Random& random) {
  if (input.size() < kHeadBytes || random.once_in(10)) return mutate_bytes(input, random);
  const auto codec = static_cast<std::uint32_t>(load_le(input.substr(0, 1)));
  const auto count = static_cast<std::size_t>(load_le(input.substr(1, 2)));
  const ByteView body = input.substr(kHeadBytes);
  // Past the compression, which refuses nearly everything that was touched.
  if (codec == 1 && !random.once_in(3)) {
    if (const auto columns = decompress(body, kColumnsBytesMax))
      return input_of(1, random.once_in(10) ? count + random.below(3) - 1 : count, compress(mutate_bytes(*columns, random)));
  }
  const auto unpacked = unpack_run(codec, body, count);
  if (!unpacked || unpacked->empty()) return mutate_bytes(input, random);
  ChangeRun changed;
  const std::size_t at = random.below(unpacked->size());
  for (std::size_t i = 0; i < unpacked->size(); ++i) {
    const Bytes change = i == at ? mutate_message((*unpacked)[i], random) : Bytes((*unpacked)[i]);
    changed.append(change);
    if (i == at && random.once_in(8)) changed.append(change);
  }
  const PackedRun packed = random.once_in(3) ? pack_run_plain(changed) : pack_run(changed);
  return input_of(packed.codec, changed.size(), packed.body);
}

std::vector<Seed> seeds() {
  ChangeRun run;
  for (const Bytes& change : World::get().sample_changes()) run.append(change);
  const PackedRun plain = pack_run_plain(run), columns = pack_run(run);
  ChangeRun one;
  one.append(run[0]);
  const PackedRun single = pack_run_plain(one);
  return {{"plain", input_of(plain.codec, run.size(), plain.body)},
          {"columns", input_of(columns.codec, run.size(), columns.body)},
          {"single", input_of(single.codec, 1, single.body)}};
}

}  // namespace

const Target kSegmentTarget{"segment", run, mutate, seeds};

}  // namespace wrackline::fuzz
