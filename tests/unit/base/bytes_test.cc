// base/bytes.h: bytes to hexadecimal, arrays, little-endian integers.
#include "base/bytes.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

TEST_CASE("bytes print as lower-case hexadecimal, high bit and zero included", "[base]") {
  CHECK(to_hex("") == "");
  CHECK(to_hex(ByteView("\x00\x0f\xa0\xff", 4)) == "000fa0ff");
}

TEST_CASE("an array is filled only from bytes of exactly its size", "[base]") {
  std::array<unsigned char, 3> array{9, 9, 9};
  CHECK_FALSE(copy_exactly("ab", array));
  CHECK_FALSE(copy_exactly("abcd", array));
  CHECK(array == std::array<unsigned char, 3>{9, 9, 9});
  CHECK(
      copy_exactly("a\xff"
                   "c",
                   array));
  CHECK(array == std::array<unsigned char, 3>{'a', 0xff, 'c'});
  CHECK(view(array) ==
        "a\xff"
        "c");
}

TEST_CASE("integers are stored least significant byte first", "[base]") {
  Bytes out;
  append_le(out, 0x0102030405060708ull, 8);
  append_le(out, 0xfffefdfc, 4);
  CHECK(to_hex(out) == "0807060504030201fcfdfeff");
  CHECK(load_le(ByteView(out).substr(0, 8)) == 0x0102030405060708ull);
  CHECK(load_le(ByteView(out).substr(8, 4)) == 0xfffefdfcull);
  CHECK(load_le("") == 0);
}

TEST_CASE("an integer read back is the one that was stored", "[base]") {
  Random random = test_random("integers read back");
  for (int i = 0; i < 1000; ++i) {
    const int size = 1 + static_cast<int>(random.below(8));
    const std::uint64_t value = random.next() >> (64 - 8 * size);
    Bytes out;
    append_le(out, value, size);
    REQUIRE(out.size() == static_cast<std::size_t>(size));
    REQUIRE(load_le(out) == value);
  }
}
