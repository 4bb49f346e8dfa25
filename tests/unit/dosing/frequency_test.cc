// dosing/frequency.h: abbreviations come in, plain words go out.
#include "dosing/frequency.h"

#include <catch2/catch.hpp>

#include "dosing/risky_notation.h"
#include "support/random.h"

using namespace wrackline;
using Catch::Contains;

namespace {

FrequencyRead read(std::string_view text) {
  auto result = parse_frequency(text);
  INFO(text << ": " << result.error().message);
  REQUIRE(result);
  return *result;
}

std::string printed(std::string_view text) { return frequency_text(read(text).frequency); }

std::string why_not(std::string_view text) {
  auto result = parse_frequency(text);
  INFO(text);
  REQUIRE_FALSE(result);
  CHECK(result.error().code == ErrorCode::kInvalid);
  return result.error().message;
}

}  // namespace

TEST_CASE("an abbreviation is read in any case, with or without points", "[dosing]") {
  for (const char* text : {"BID", "bid", "b.i.d.", "B.I.D", " Bid "}) CHECK(printed(text) == "twice a day");
  for (const char* text : {"q12h", "Q12H", "q.12.h.", "q 12 h", "q12 hrs", "q12hours"})
    CHECK(printed(text) == "every 12 hours");
  CHECK(printed("q3d") == "every 72 hours");
  CHECK(printed("q7d") == "every 7 days");
  CHECK(printed("every 3 days") == "every 72 hours");
  CHECK(printed("5 times a day") == "5 times a day");
  CHECK(printed("Twice  Daily") == "twice a day");
}

TEST_CASE("what an abbreviation was read as is shown, plain words are not", "[dosing]") {
  CHECK(read("BID").reading == FrequencyReading::kAbbreviation);
  CHECK(read("BID").expansion == "\"BID\" is read as: twice a day");
  CHECK(read("SID").reading == FrequencyReading::kMisread);
  CHECK(read("SID").expansion == "\"SID\" is read as: once a day");
  CHECK(read("q1d").reading == FrequencyReading::kMisread);
  CHECK(read("q12h").reading == FrequencyReading::kAbbreviation);
  CHECK(read("every other day").expansion == "\"every other day\" is read as: every 48 hours");
  CHECK(read("twice a day").reading == FrequencyReading::kPlain);
  CHECK(read("twice a day").expansion.empty());
}

TEST_CASE("slots of the day and elapsed hours stay two rules", "[dosing]") {
  CHECK(read("BID").frequency == Frequency{FrequencyRule::kTimesADay, 2});
  CHECK(read("q12h").frequency == Frequency{FrequencyRule::kEveryHours, 12});
  CHECK(nominal_interval_min(read("BID").frequency) == nominal_interval_min(read("q12h").frequency));
}

TEST_CASE("what has two meanings or no frequency is refused with what to write", "[dosing]") {
  CHECK_THAT(why_not("o.d."), Contains("right eye"));
  CHECK_THAT(why_not("qhs"), Contains("time of the day"));
  CHECK_THAT(why_not("HS"), Contains("half strength"));
  CHECK_THAT(why_not("PRN"), Contains("least time between doses"));
  CHECK_THAT(why_not("stat"), Contains("at once"));
  CHECK_THAT(why_not("often"), Contains("write it out"));
}

TEST_CASE("a number that cannot be meant is refused, not bent", "[dosing]") {
  for (const char* text : {"",
                           " ",
                           ".",
                           "q",
                           "q0h",
                           "q8785h",
                           "q99999h",
                           "q100000h",
                           "q367d",
                           "q4294967297h",
                           "every 0 hours",
                           "every hours",
                           "0 times a day",
                           "25 times a day",
                           "every 1.5 hours",
                           "q1.5h",
                           "1.2 times a day",
                           "every -12 hours",
                           "q12hx",
                           "q12",
                           "12h",
                           "bid tid",
                           "every 8-12 hours",
                           "twice"}) {
    (void)why_not(text);
  }
  (void)why_not(std::string(65, 'q'));
  (void)why_not(std::string("bid\0", 4));
  CHECK(printed("q8784h") == "every 366 days");
}

TEST_CASE("plain words are read back as they were, and none of them is misread", "[dosing]") {
  std::vector<Frequency> all{{FrequencyRule::kOnceAWeek, 1}};
  for (std::uint32_t n = 1; n <= kTimesADayMax; ++n) all.push_back({FrequencyRule::kTimesADay, n});
  for (std::uint32_t n = 1; n <= kEveryHoursMax; ++n) all.push_back({FrequencyRule::kEveryHours, n});
  for (const Frequency& frequency : all) {
    const std::string text = frequency_text(frequency);
    CAPTURE(text);
    const auto back = parse_frequency(text);
    REQUIRE(back);
    REQUIRE(back->frequency == frequency);
    REQUIRE(back->reading == FrequencyReading::kPlain);
    REQUIRE(find_risky_notation(text).empty());
    REQUIRE(nominal_interval_min(frequency) > 0);
  }
}

TEST_CASE("any bytes are read or refused", "[dosing]") {
  Random random = test_random("frequency bytes");
  for (int i = 0; i < 5000; ++i) {
    const Bytes text = random.bytes(random.below(12));
    const auto result = parse_frequency(text);
    if (!result) REQUIRE_FALSE(result.error().message.empty());
  }
}
