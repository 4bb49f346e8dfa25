// Goal: a change is exactly the message of proto/change.proto. Method: what is written here is read by the
// generated code and the other way round; damaged bytes are refused.
#include "log/change.h"

#include <change.pb.h>

#include <catch2/catch.hpp>

#include "base/wire.h"
#include "support/random.h"

using namespace wrackline;

TEST_CASE("a change written by the core is read alike by the generated code, byte for byte both ways", "[log]") {
  Random random = test_random("change");
  for (int round = 0; round < 500; ++round) {
    Bytes fields;
    append_bytes_field(fields, 1, random.bytes(random.below(20)));
    Change change;
    change.stamp = Stamp{random.next() | 1ull << 63};
    change.wall_behind_ms = random.once_in(3) ? random.below(100000) : 0;
    if (random.once_in(2)) {
      change.kind = 1 + static_cast<std::uint32_t>(random.below(20));
    } else {
      change.record = {LogId{random.next() | 1}, 1 + static_cast<Seq>(random.below(kSeqMax))};
      change.replaces.push_back({{LogId{random.next() | 1}, 5}, static_cast<std::uint32_t>(random.next()), {1, 1000}});
      change.clears = {3, 500};
    }
    if (random.once_in(2)) change.author = {LogId{random.next() | 1}, 9};
    change.fields = fields;
    const Bytes reason = random.once_in(2) ? "weighed again" : "";
    change.reason = reason;
    const Bytes bytes = write_change(change);

    proto::Change message;
    REQUIRE(message.ParseFromString(bytes));
    REQUIRE(message.SerializeAsString() == bytes);
    REQUIRE(message.stamp() == change.stamp.value);
    REQUIRE(message.kind() == change.kind);
    REQUIRE(message.fields() == fields);
    REQUIRE(message.reason() == reason);

    const auto read = read_change(bytes);
    REQUIRE(read);
    REQUIRE(write_change(*read) == bytes);
    REQUIRE(read->replaces.size() == change.replaces.size());
    REQUIRE(read->clears == change.clears);
  }
}

TEST_CASE("a change cut short anywhere is refused or is a whole shorter message", "[log]") {
  Bytes fields;
  append_bytes_field(fields, 1, "a name");
  Change change;
  change.stamp = Stamp::of(1'790'000'000'000, 3);
  change.kind = 4;
  change.author = {LogId{7}, 1};
  change.fields = fields;
  const Bytes bytes = write_change(change);
  std::size_t refused = 0;
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    const auto read = read_change(ByteView(bytes).substr(0, size));
    if (!read) {
      ++refused;
      REQUIRE(read.error().code == ErrorCode::kMalformed);
    }
  }
  REQUIRE(refused >= bytes.size() - 4);  // Whole after stamp and kind, and after the author.
}

TEST_CASE("a change over 256 KiB, of no kind, or of both kinds is refused", "[log]") {
  REQUIRE(read_change(Bytes(kChangeBytesMax + 1, '\0')).error().code == ErrorCode::kTooLarge);
  proto::Change message;
  message.set_stamp(5ull << 16);
  REQUIRE_FALSE(read_change(message.SerializeAsString()));
  message.set_kind(4);
  REQUIRE(read_change(message.SerializeAsString()));
  message.mutable_record()->set_log(1);
  message.mutable_record()->set_seq(1);
  REQUIRE_FALSE(read_change(message.SerializeAsString()));
}
