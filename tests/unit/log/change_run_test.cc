// Goal: packing a run gives back the exact bytes, since those were hashed; and no packed body, however
// damaged or hostile, does harm. Method: realistic and random changes, cut and flipped bodies, a bomb.
#include "log/change_run.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "base/wire.h"
#include "log/change.h"
#include "log/compression.h"
#include "support/hostile_columns.h"
#include "support/random.h"

using namespace wrackline;

namespace {

ChangeRun portions(Random& random, std::size_t count) {
  ChangeRun run;
  const LogId own{random.next() | 1}, desk{random.next() | 1};
  WallMs ms = 1'790'000'000'000;
  for (std::size_t i = 0; i < count; ++i) {
    ms += 2000 + random.below(9000);
    Bytes fields;
    append_record_ref_field(fields, 1, {own, static_cast<Seq>(1 + i / 5 * 6)});
    append_record_ref_field(fields, 2, {desk, static_cast<Seq>(10 + random.below(8))});
    append_varint_field(fields, 3, 250'000 + (50 + random.below(500)) * 1000);
    append_varint_field(fields, 4, 250'000);
    append_varint_field(fields, 6, random.once_in(3) ? random.below(80) * 1000 : 0);
    if (random.once_in(20)) append_bytes_field(fields, 8, "took it slowly");
    Change change;
    change.stamp = Stamp::of(ms, 0);
    change.kind = 9;
    change.author = {desk, 7};
    change.fields = fields;
    run.append(write_change(change));
  }
  return run;
}

void require_same(const ChangeRun& a, const ChangeRun& b) {
  REQUIRE(a.size() == b.size());
  for (std::size_t i = 0; i < a.size(); ++i) REQUIRE(a[i] == b[i]);
}

}  // namespace

TEST_CASE("a packed run unpacks to the exact bytes of its changes", "[log][laws]") {
  Random random = test_random("pack");
  for (int round = 0; round < 200; ++round) {
    const ChangeRun run = portions(random, 1 + random.below(300));
    for (const PackedRun& packed : {pack_run(run), pack_run_plain(run)}) {
      auto unpacked = unpack_run(packed.codec, packed.body, run.size());
      REQUIRE(unpacked);
      require_same(*unpacked, run);
    }
  }
}

TEST_CASE("a long run of portions packs to under eleven bytes a change", "[log]") {
  Random random = test_random("pack size");
  const ChangeRun run = portions(random, 4096);
  const PackedRun packed = pack_run(run);
  REQUIRE(packed.codec == 1);
  REQUIRE(packed.body.size() < 11 * run.size());
}

TEST_CASE("changes not written in the shortest way keep their exact bytes too", "[log][laws]") {
  Random random = test_random("pack odd");
  for (int round = 0; round < 2000; ++round) {
    ChangeRun run;
    for (std::size_t i = 0; i < 1 + random.below(6); ++i) {
      // Noise, a varint with a needless byte, or a message whose text looks like a message.
      Bytes bytes = random.bytes(random.below(30));
      if (random.once_in(3)) bytes = Bytes("\x08\x80\x00", 3);
      if (random.once_in(3)) {
        bytes.clear();
        append_bytes_field(bytes, 6, random.once_in(2) ? Bytes("\x0a\x00", 2) : random.bytes(12));
      }
      run.append(bytes);
    }
    const PackedRun packed = pack_run(run);
    auto unpacked = unpack_run(packed.codec, packed.body, run.size());
    REQUIRE(unpacked);
    require_same(*unpacked, run);
  }
}

TEST_CASE("a damaged packed run is refused or gives some run within the limits, and never harms", "[log]") {
  Random random = test_random("pack damage");
  const ChangeRun run = portions(random, 60);
  const PackedRun packed = pack_run(run);
  const Bytes columns = *decompress(packed.body, 1 << 20);
  std::size_t refused = 0;
  for (int round = 0; round < 20'000; ++round) {
    // Damage below the compression, where a checksum of zstd would not have caught it.
    Bytes damaged = columns;
    for (std::size_t i = 0; i <= random.below(3); ++i) {
      damaged[random.below(damaged.size())] = static_cast<char>(random.next());
    }
    if (random.once_in(4)) damaged.resize(random.below(damaged.size()));
    auto unpacked = unpack_run(1, compress(damaged), run.size());
    if (!unpacked) {
      ++refused;
    } else {
      REQUIRE(unpacked->size() == run.size());
    }
  }
  REQUIRE(refused > 0);
}

TEST_CASE("a body that claims more than a run may hold is refused before memory is taken", "[log]") {
  const Bytes bomb = compress(Bytes(64 << 20, '\0'));
  REQUIRE(bomb.size() < 10'000);
  REQUIRE(unpack_run(1, bomb, 100).error().code == ErrorCode::kTooLarge);
  REQUIRE(unpack_run(0, "", kRunChangesMax + 1).error().code == ErrorCode::kTooLarge);
  REQUIRE(unpack_run(0, "", 0).error().code == ErrorCode::kTooLarge);
  REQUIRE(unpack_run(2, "x", 1).error().code == ErrorCode::kUnsupported);
  REQUIRE(unpack_run(0, Bytes("\x05x", 2), 1).error().code == ErrorCode::kMalformed);
}

TEST_CASE("a plainly packed run is refused when packing it by columns would pass the limit", "[log]") {
  // The hub packs what it keeps of a run anew, by columns; what it took in too long it could never read again.
  ChangeRun run;
  const std::size_t change_bytes = 250'000;
  for (int i = 0; i < 4; ++i) run.append(Bytes(change_bytes, '\0'));
  run.append(Bytes(kRunBytesMax - run.bytes(), '\0'));
  REQUIRE(unpack_run(0, pack_run_plain(run).body, run.size()));
  run.append("x");
  REQUIRE(unpack_run(0, pack_run_plain(run).body, run.size()).error().code == ErrorCode::kMalformed);
}

namespace {

// Logs as regular as they can be, which compress by hundreds of times, and changes that are all marks or all numbers.
ChangeRun regular(Random& random) {
  ChangeRun run;
  const std::size_t count = random.once_in(3) ? 1 + random.below(4096) : 1 + random.below(40);
  const std::size_t room = kRunBytesMax / count;
  const std::size_t size = random.below(std::min<std::size_t>(room, random.once_in(2) ? 200 : kChangeBytesMax));
  const auto form = random.below(6);
  for (std::size_t i = 0; i < count; ++i) {
    Bytes change;
    if (form == 0) append_fixed64_field(change, 1, 1'000'000 + 4096 * i);  // Stamps in even steps.
    if (form == 1) change = random.bytes(std::min<std::size_t>(size, 3));
    if (form == 2) append_bytes_field(change, 9, Bytes(size > 8 ? size - 8 : 0, 'a'));
    while (form == 3 && change.size() + 2 <= size) change += Bytes("\x32\x00", 2);  // Empty fields of a change: two marks for two bytes.
    while (form == 4 && change.size() + 2 <= size) append_varint_field(change, 1 + static_cast<std::uint32_t>(i % 15), 0);
    if (form == 5) {
      Change written;
      written.stamp = Stamp::of(1'790'000'000'000 + i, 0);
      written.kind = 9;
      written.reason = "as ever";
      change = write_change(written);
    }
    if (run.bytes() + change.size() > kRunBytesMax) break;
    run.append(change);
  }
  return run;
}

}  // namespace

TEST_CASE("however regular a run is, unpacking it is within what its packed size allows", "[log][laws]") {
  Random random = test_random("regular runs");
  std::size_t padded = 0;
  for (int round = 0; round < 400; ++round) {
    const ChangeRun run = random.once_in(4) ? portions(random, 1 + random.below(1024)) : regular(random);
    for (const PackedRun& packed : {pack_run(run), pack_run_plain(run)}) {
      UnpackWork work(run_work_allowed(packed.body.size()));
      auto unpacked = unpack_run(packed.codec, packed.body, run.size(), work);
      REQUIRE(unpacked);
      require_same(*unpacked, run);
      REQUIRE(work.done() >= run.bytes());
      if (packed.codec == 1 && packed.body.find(Bytes("\x50\x2a\x4d\x18", 4)) != Bytes::npos) ++padded;
    }
  }
  REQUIRE(padded > 0);  // Else nothing here was regular enough.
}

TEST_CASE("the largest change there may be packs and unpacks, though it is all marks or all numbers", "[log]") {
  for (const char tag : {'\x32', '\x08'}) {  // Field 6, a message that is taken apart, and empty; field 1, the number 0.
    CAPTURE(static_cast<int>(tag));
    Bytes change;
    while (change.size() < kChangeBytesMax) change += {tag, '\0'};
    ChangeRun run;
    run.append(change);
    const PackedRun packed = pack_run(run);
    CHECK(packed.codec == 1);
    UnpackWork work(run_work_allowed(packed.body.size()));
    auto unpacked = unpack_run(packed.codec, packed.body, 1, work);
    REQUIRE(unpacked);
    require_same(*unpacked, run);
  }
}

TEST_CASE("bytes of columns, changes, values and bytes written are all counted", "[log]") {
  constexpr std::size_t kSteps = 10, kCount = 100;
  constexpr std::size_t kColumnBytes = 1 + (1 + kSteps) + 3 * kSteps;  // Number of shapes; the shape; its columns.
  UnpackWork work(kRunWorkMax);
  REQUIRE(unpack_run(1, hostile_run(1, kSteps, kCount), kCount, work));
  CHECK(work.done() == kColumnBytes + kCount + kSteps * kCount + 2 * kSteps * kCount);
}

TEST_CASE("a run is unpacked for no more work than is allowed, to the step", "[log]") {
  Random random = test_random("work");
  for (int round = 0; round < 50; ++round) {
    const ChangeRun run = portions(random, 1 + random.below(200));
    const PackedRun packed = pack_run(run);
    UnpackWork ample(kRunWorkMax);
    REQUIRE(unpack_run(packed.codec, packed.body, run.size(), ample));
    UnpackWork exact(ample.done()), scant(ample.done() - 1);
    REQUIRE(unpack_run(packed.codec, packed.body, run.size(), exact));
    REQUIRE(unpack_run(packed.codec, packed.body, run.size(), scant).error().code == ErrorCode::kTooLarge);
    REQUIRE(scant.done() < ample.done());
  }
}

// Each shape alone would be within the limits of a run; together they are 24 million numbers, from some hundreds of bytes.
TEST_CASE("columns of many shapes that are too much together are refused before they are unpacked", "[log]") {
  const Bytes body = hostile_run(90, 5'800, 4'096);
  REQUIRE(body.size() < 43'000);
  for (const std::size_t allowed : {run_work_allowed(body.size()), kRunWorkMax}) {
    UnpackWork work(allowed);
    REQUIRE_FALSE(unpack_run(1, body, 4'096, work));
    REQUIRE(work.done() <= allowed);
    REQUIRE(work.done() <= kRunWorkMax);
  }
  // One and a half times the values that a run has room for: no memory is taken for them.
  UnpackWork ample(kRunWorkMax);
  REQUIRE_FALSE(unpack_run(1, hostile_run(1, 500, 3'000), 3'000, ample));
  REQUIRE(ample.done() < 10'000);
  // A run as large as any may be is unpacked here, and not from outside.
  const Bytes whole = hostile_run(1, 127, 4'096);
  REQUIRE(unpack_run(1, whole, 4'096));
  UnpackWork work(run_work_allowed(whole.size()));
  REQUIRE(unpack_run(1, whole, 4'096, work).error().code == ErrorCode::kTooLarge);
  REQUIRE(work.done() <= run_work_allowed(whole.size()));
}
