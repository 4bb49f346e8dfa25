// Goal: wire slices are protobuf's own. Method: the examples of the protobuf documentation ("Encoding"), the
// limits of a varint, and bytes that are no message.
#include "base/wire.h"

#include <catch2/catch.hpp>
#include <vector>

#include "support/hex.h"
#include "support/random.h"

using namespace wrackline;

TEST_CASE("varints are written and read as in the protobuf documentation", "[base]") {
  const std::vector<std::pair<std::uint64_t, const char*>> examples = {
      {1, "01"},
      {150, "9601"},
      {300, "ac02"},
      {86942, "9ea705"},
      {static_cast<std::uint64_t>(-2), "feffffffffffffffff01"}};
  for (const auto& [value, hex] : examples) {
    Bytes out;
    append_varint(out, value);
    REQUIRE(to_hex(out) == hex);
    REQUIRE(varint_size(value) == static_cast<int>(out.size()));
    ByteView rest = out;
    std::uint64_t read = 0;
    REQUIRE(take_varint(rest, read));
    REQUIRE(read == value);
    REQUIRE(rest.empty());
  }
}

TEST_CASE("fields are those of the protobuf documentation", "[base]") {
  Bytes out;
  append_varint_field(out, 1, 150);
  REQUIRE(to_hex(out) == "089601");
  out.clear();
  append_bytes_field(out, 2, "testing");
  REQUIRE(to_hex(out) == "120774657374696e67");
  out.clear();
  Bytes packed;
  for (std::uint64_t v : {3, 270, 86942}) append_varint(packed, v);
  append_bytes_field(out, 6, packed);
  REQUIRE(to_hex(out) == "3206038e029ea705");
}

TEST_CASE("zigzag maps small magnitudes to small numbers", "[base]") {
  REQUIRE(zigzag(0) == 0);
  REQUIRE(zigzag(-1) == 1);
  REQUIRE(zigzag(1) == 2);
  REQUIRE(zigzag(-2) == 3);
  REQUIRE(zigzag(2147483647) == 0xfffffffe);
  REQUIRE(zigzag(-2147483648LL) == 0xffffffff);
  for (std::int64_t v : {std::int64_t{0}, std::int64_t{-77}, INT64_MAX, INT64_MIN})
    REQUIRE(unzigzag(zigzag(v)) == v);
}

TEST_CASE("a varint over ten bytes or over 64 bits is malformed", "[base]") {
  for (const char* hex : {"ffffffffffffffffffff01", "ffffffffffffffffff02", "80", ""}) {
    const Bytes bytes = from_hex(hex);
    ByteView rest = bytes;
    std::uint64_t value = 0;
    REQUIRE_FALSE(take_varint(rest, value));
  }
}

TEST_CASE("groups, field number 0 and messages cut short are malformed", "[base]") {
  for (const char* hex : {"0b", "0c", "00", "0800ff", "12", "1205616263", "09000000", "0d0000"}) {
    const Bytes bytes = from_hex(hex);
    WireReader reader(bytes);
    WireField field;
    while (reader.next(field)) {
    }
    INFO(hex);
    REQUIRE_FALSE(reader.ok());
  }
}

TEST_CASE("random bytes never read beyond their end", "[base]") {
  Random random = test_random("wire noise");
  for (int round = 0; round < 20'000; ++round) {
    const Bytes bytes = random.bytes(random.below(40));
    WireReader reader(bytes);
    WireField field;
    std::size_t total = 0;
    while (reader.next(field)) total += field.slice.size();
    REQUIRE(total <= bytes.size());
    REQUIRE((!reader.ok() || total == bytes.size()));
  }
}
