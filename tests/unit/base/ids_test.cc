// base/ids.h: ids as text, their order, what is no id.
#include "base/ids.h"

#include <catch2/catch.hpp>
#include <unordered_set>

#include "support/random.h"

using namespace wrackline;

TEST_CASE("a change id prints as 16 digits of its log, a point and its seq", "[base]") {
  CHECK(to_text(ChangeId{{0x00c0ffee00c0ffee}, 12}) == "00c0ffee00c0ffee.12");
  CHECK(to_text(LogId{1}) == "0000000000000001");
}

TEST_CASE("a change id read back is the one that was printed", "[base]") {
  Random random = test_random("ids read back");
  for (int i = 0; i < 1000; ++i) {
    const ChangeId id{{random.next() | 1}, static_cast<Seq>(1 + random.below(kSeqMax))};
    REQUIRE(parse_change_id(to_text(id)) == id);
  }
}

TEST_CASE("text that is not exactly an id is refused", "[base]") {
  CHECK(parse_change_id("00c0ffee00c0ffee.12"));
  CHECK(parse_change_id("ffffffffffffffff.16777215"));  // The longest log.
  for (const char* text : {"",
                           ".",
                           "00c0ffee00c0ffee",
                           "00c0ffee00c0ffee.",
                           "00c0ffee00c0ffee.0",
                           "0000000000000000.1",
                           "00c0ffee00c0ffee.16777216",
                           "00c0ffee00c0ffee.99999999999",
                           "00c0ffee00c0ffee.-1",
                           "00c0ffee00c0ffee.+1",
                           "00c0ffee00c0ffee.1 ",
                           " 00c0ffee00c0ffee.1",
                           "00c0ffee00c0ffee.1x",
                           "c0ffee.1",
                           "00c0ffee00c0ffe.12",
                           "000c0ffee00c0ffee.1",
                           "00c0ffee00c0ffeg.1",
                           "0x0ffee00c0ffee0.1",
                           "-0c0ffee00c0ffee.1",
                           "00c0ffee00c0ffee,1"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_change_id(text));
  }
}

TEST_CASE("ids are ordered by log, then by seq", "[base]") {
  const ChangeId a{{1}, 9}, b{{2}, 1}, c{{2}, 2};
  CHECK(a < b);
  CHECK(b < c);
  CHECK_FALSE(c < b);
  CHECK_FALSE(a < a);
  CHECK(a != b);
  CHECK(a == ChangeId{{1}, 9});
}

TEST_CASE("an id without log or seq names nothing", "[base]") {
  CHECK_FALSE(ChangeId{});
  CHECK_FALSE(ChangeId{{5}, 0});
  CHECK_FALSE(ChangeId{{0}, 5});
  CHECK(ChangeId{{5}, 5});
}

TEST_CASE("neighbouring ids fall on different hashes", "[base]") {
  std::unordered_set<std::size_t> hashes;
  for (Seq seq = 1; seq <= 1000; ++seq) hashes.insert(std::hash<ChangeId>()(ChangeId{{0xabcdef}, seq}));
  CHECK(hashes.size() == 1000);
}
