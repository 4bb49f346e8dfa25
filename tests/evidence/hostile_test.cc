// Goal: no file, however broken or ill-meant, is taken for good or ends the verifier. Method: every byte of a small
// file altered; random cuts, bit flips, lines moved, taken out and made up, from a printed seed.
#include "json_object.h"
#include "support/random.h"
#include "writing.h"

using namespace wrackline;
using namespace wrackline::evidence;

namespace {

std::string small_file() {
  TwoKeepers keepers;
  const auto [meal, portion] = keepers.on_north.meal(keepers.animal, keepers.food, 510, 1'200'000);
  keepers.facility.exchange_all();
  REQUIRE(keepers.on_south.try_left(portion, 80'000, "weighed"));
  keepers.facility.exchange_all();
  return evidence_of(keepers.north, {portion}).text;
}

}  // namespace

TEST_CASE("no byte of an evidence file can be altered unnoticed", "[evidence][hostile]") {
  const std::string good = small_file();
  REQUIRE(problems_of(good).empty());
  Random random = test_random("no byte of an evidence file");
  std::size_t refused = 0;
  for (std::size_t at = 0; at < good.size(); ++at) {
    std::string bad = good;
    bad[at] = static_cast<char>(bad[at] ^ static_cast<char>(1 + random.below(255)));
    const auto problems = problems_of(bad);
    CAPTURE(at, bad.substr(at > 20 ? at - 20 : 0, 40));
    REQUIRE_FALSE(problems.empty());
    // Where it is, by the change or by the line.
    REQUIRE((problems.front().find("change ") != std::string::npos ||
             problems.front().find("line ") != std::string::npos ||
             problems.front().find("log ") != std::string::npos));
    ++refused;
  }
  CHECK(refused == good.size());
}

TEST_CASE("a file that was cut short anywhere is refused", "[evidence][hostile]") {
  const std::string good = small_file();
  for (std::size_t size = 0; size < good.size(); size += size % 7 + 1) {
    CAPTURE(size);
    REQUIRE_FALSE(problems_of(good.substr(0, size)).empty());
  }
  CHECK_FALSE(problems_of(good + "\n").empty());
  CHECK_FALSE(problems_of(good + good).empty());
}

TEST_CASE("lines taken out, doubled or moved are noticed, whatever their checks say", "[evidence][hostile]") {
  const std::vector<std::string> good = lines_of(small_file());
  Random random = test_random("lines taken out");
  const auto is_name = [&](std::size_t i) { return good[i].rfind("{\"type\":\"name\"", 0) == 0; };
  for (std::size_t i = 0; i < good.size(); ++i) {
    std::vector<std::string> lines = good;
    lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(i));
    CAPTURE(i, good[i]);
    // The checks tell while they stand as they were; once they are made anew, the counts of the last line
    // tell.
    std::string as_is;
    for (const std::string& line : lines) as_is += line + "\n";
    CHECK_FALSE(problems_of(as_is).empty());
    CHECK_FALSE(problems_of(with_checks(lines)).empty());
    lines = good;
    lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(i), good[i]);
    CHECK_FALSE(problems_of(with_checks(lines)).empty());
  }
  for (int round = 0; round < 200; ++round) {
    std::vector<std::string> lines = good;
    const std::size_t a = random.below(lines.size()), b = random.below(lines.size());
    if (a == b || (is_name(a) && is_name(b))) continue;
    std::swap(lines[a], lines[b]);
    CAPTURE(round, a, b);
    CHECK_FALSE(problems_of(with_checks(lines)).empty());
  }
}

TEST_CASE("random damage never ends the verifier and is never taken for good", "[evidence][hostile]") {
  const std::string good = small_file();
  const std::vector<std::string> lines = lines_of(good);
  Random random = test_random("random damage");
  for (int round = 0; round < 3000; ++round) {
    std::string bad = good;
    for (std::uint64_t n = 1 + random.below(8); n > 0; --n) {
      const std::size_t at = random.below(bad.size());
      switch (random.below(4)) {
        case 0:
          bad[at] = static_cast<char>(bad[at] ^ static_cast<char>(1u << random.below(8)));
          break;
        case 1:
          bad.erase(at, 1 + random.below(200));
          break;
        case 2:
          bad.insert(at, random.bytes(1 + random.below(40)));
          break;
        default:
          bad.insert(at, bad.substr(random.below(bad.size()), random.below(300)));
          break;
      }
      if (bad.empty()) bad = "{";
    }
    CAPTURE(round);
    if (bad != good) CHECK_FALSE(problems_of(bad).empty());
  }
  // Lines that read well and mean nothing.
  for (int round = 0; round < 500; ++round) {
    std::vector<std::string> made_up = lines;
    std::string& line = made_up[random.below(made_up.size())];
    const std::size_t digit = line.find_first_of("0123456789", random.below(line.size()));
    if (digit == std::string::npos || digit > line.rfind(kEvidenceCheckMember)) continue;
    line.replace(digit, 1, std::to_string(random.below(2) == 0 ? random.next() : random.below(20)));
    (void)problems_of(with_checks(made_up));
  }
}

TEST_CASE("a line is read as RFC 8259 says, and nothing else is", "[evidence][hostile]") {
  auto object =
      JsonObject::parse("{ \"a\" : \"\\u00e9\\ud83d\\ude00\\n\\\"\" , \"n\":18, \"yes\":true,\"l\":[\"x\", \"y\"] }");
  REQUIRE(object);
  CHECK(object->take<std::string>("a") == "\xc3\xa9\xf0\x9f\x98\x80\n\"");
  CHECK(object->take<std::uint64_t>("n") == 18u);
  CHECK(object->take<bool>("yes") == true);
  CHECK(object->take<std::vector<std::string>>("l") == std::vector<std::string>{"x", "y"});
  CHECK(object->is_spent());
  for (const char* text : {"",
                           "{",
                           "[]",
                           "{}x",
                           "{\"a\"}",
                           "{\"a\":}",
                           "{\"a\":1,}",
                           "{\"a\":1,\"a\":2}",
                           "{\"a\":-1}",
                           "{\"a\":1.5}",
                           "{\"a\":01}",
                           "{\"a\":99999999999999999999}",
                           "{\"a\":null}",
                           "{\"a\":{}}",
                           "{\"a\":[1]}",
                           "{\"a\":\"\\x\"}",
                           "{\"a\":\"\\ud800\"}",
                           "{\"a\":\"\\udc00\"}",
                           "{\"a\":\"\n\"}",
                           "{'a':1}",
                           "{\"a\":\"b}",
                           "{\"a\":tru}"}) {
    CAPTURE(text);
    CHECK_FALSE(JsonObject::parse(text));
  }
}

TEST_CASE("a name of any bytes becomes a line that can be read", "[evidence][hostile]") {
  Random random = test_random("a name of any bytes");
  for (int round = 0; round < 500; ++round) {
    const std::string line = "{\"a\":" + json_string(random.bytes(random.below(30))) + "}";
    CAPTURE(line);
    CHECK(JsonObject::parse(line));
  }
  CHECK(json_string("h\xc3\xa9 \"x\"\\\n") == "\"h\xc3\xa9 \\\"x\\\"\\\\\\u000a\"");
  // Overlong, a surrogate, beyond U+10FFFF: RFC 3629.
  CHECK(json_string("\xc0\xaf") == "\"\\ufffd\\ufffd\"");
  CHECK(json_string("\xed\xa0\x80") == "\"\\ufffd\\ufffd\\ufffd\"");
  CHECK(json_string("\xf4\x90\x80\x80") == "\"\\ufffd\\ufffd\\ufffd\\ufffd\"");
}
