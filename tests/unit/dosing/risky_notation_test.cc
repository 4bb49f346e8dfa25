// dosing/risky_notation.h: what is known to be misread is found where it stands, and nothing else.
#include "dosing/risky_notation.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

namespace {

// The notations that were found, and the advice on the first.
std::vector<std::string> found(std::string_view text) {
  std::vector<std::string> out;
  for (const RiskyNotation& risky : find_risky_notation(text))
    out.emplace_back(text.substr(risky.begin, risky.size));
  return out;
}

using Words = std::vector<std::string>;

}  // namespace

TEST_CASE("risky notation is found in the middle of a text", "[dosing]") {
  CHECK(found("give 10U SC, then 5.0 mg q.d.") == Words{"U", "SC", "5.0", "q.d."});
  CHECK(found(".5mg (MSO4) /kg") == Words{".5", "MSO4"});
  CHECK(found("100 IU/mL; 2cc") == Words{"IU", "cc"});
  CHECK(found("50 \xC2\xB5g or 50\xCE\xBCg") == Words{"\xC2\xB5g", "\xCE\xBCg"});
  CHECK(find_risky_notation("10 U").at(0).advice == "write \"units\"");
  CHECK(find_risky_notation(".5 mg").at(0).advice == "write a zero before the point");
  CHECK(find_risky_notation("5.0 mg").at(0).advice == "leave out the zero at the end");
}

TEST_CASE("text that only looks like risky notation is left alone", "[dosing]") {
  CHECK(found("").empty());
  CHECK(found("0.5 mg twice a day, 10 units, 100 mL, 1.05 mg, 20 mg").empty());
  CHECK(found("Use gauze. Under the tongue. 250 ms pause").empty());
  CHECK(found("Sum of 10. Then 20.").empty());
  CHECK(found("mask, squid, cod, scoop").empty());
  CHECK(found("\xFF\xC2 \x80").empty());
}

TEST_CASE("what is found lies within the text, in order, whatever the bytes", "[dosing]") {
  Random random = test_random("risky bytes");
  const std::vector<std::string> pieces{"U",  " ", "IU", "5.0",  ".",    "0", "qd",
                                        "MS", "/", ",",  "\xC2", "\xB5", "g", "x"};
  std::size_t some = 0;
  for (int i = 0; i < 3000; ++i) {
    std::string text;
    for (std::uint64_t n = random.below(8); n > 0; --n)
      text += random.once_in(5) ? random.bytes(1) : random.pick(pieces);
    std::size_t end = 0;
    for (const RiskyNotation& risky : find_risky_notation(text)) {
      ++some;
      REQUIRE(risky.begin >= end);
      REQUIRE(risky.size > 0);
      end = risky.begin + risky.size;
      REQUIRE(end <= text.size());
      REQUIRE_FALSE(risky.advice.empty());
    }
  }
  CHECK(some > 0);
}
