// schedule/calendar.h: text that a calendar program reads back as it was meant.
//
// A small reader of our own unfolds and unescapes by the RFC, so that what is checked is what a program sees.
#include "schedule/calendar.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;
using Catch::Contains;

namespace {

constexpr Day kSpring = 20'520;  // 2026-03-08
const CalendarHead kHead{"-//Wrackline//EN", kSpring* kDayMs};

CalendarZone new_york() {
  return {"America/New_York", ZoneOffsets::make({{(kSpring - 60) * kDayMs, -300},
                                                 {kSpring * kDayMs + 7 * kHourMs, -240},
                                                 {(kSpring + 238) * kDayMs + 6 * kHourMs, -300}},
                                                (kSpring + 300) * kDayMs)
                                  .value()};
}

CalendarEntry entry(std::string uid, std::string summary, WallMs start_ms = kSpring * kDayMs) {
  CalendarEntry out;
  out.uid = std::move(uid);
  out.summary = std::move(summary);
  out.start_ms = start_ms;
  return out;
}

std::string text_of(const std::vector<CalendarEntry>& entries, const std::optional<CalendarZone>& zone = {}) {
  auto text = calendar_text(kHead, entries, zone);
  INFO(text.error().message);
  REQUIRE(text);
  return *text;
}

std::string why_not(const std::vector<CalendarEntry>& entries, const std::optional<CalendarZone>& zone = {}) {
  const auto text = calendar_text(kHead, entries, zone);
  REQUIRE_FALSE(text);
  CHECK(text.error().code == ErrorCode::kInvalid);
  return text.error().message;
}

// The lines as they go over the wire.
std::vector<std::string> folded(const std::string& text) {
  std::vector<std::string> out;
  std::size_t begin = 0;
  while (begin < text.size()) {
    const std::size_t end = text.find("\r\n", begin);
    REQUIRE(end != std::string::npos);
    out.push_back(text.substr(begin, end - begin));
    begin = end + 2;
  }
  return out;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  for (const std::string& line : folded(text)) {
    if (!line.empty() && line[0] == ' ')
      out.back() += line.substr(1);
    else
      out.push_back(line);
  }
  return out;
}

std::string unescaped(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\\') {
      out.push_back(text[i]);
      continue;
    }
    ++i;
    out.push_back(text.at(i) == 'n' ? '\n' : text[i]);
  }
  return out;
}

std::string value_of(const std::string& text, const std::string& name) {
  for (const std::string& line : lines_of(text))
    if (line.rfind(name + ":", 0) == 0) return unescaped(line.substr(name.size() + 1));
  FAIL("no " << name);
  return {};
}

}  // namespace

TEST_CASE("an instant is written in UTC, with everything an entry must have", "[schedule]") {
  CalendarEntry feed = entry("00c0ffee00c0ffee.12/540", "Feed the rays", kSpring * kDayMs + 13 * kHourMs);
  feed.duration_min = 30;
  CHECK(text_of({feed}) ==
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Wrackline//EN\r\nBEGIN:VEVENT\r\n"
        "UID:00c0ffee00c0ffee.12/540\r\nDTSTAMP:20260308T000000Z\r\nDTSTART:20260308T130000Z\r\n"
        "DURATION:PT30M\r\nSUMMARY:Feed the rays\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n");
}

TEST_CASE("a wall-clock time is written with its zone, and the zone with its changes", "[schedule]") {
  CalendarEntry feed = entry("a", "Feed");
  feed.wall_clock = CalendarWallClock{kSpring, 540};
  const std::string text = text_of({feed}, new_york());
  CHECK_THAT(text, Contains("\r\nDTSTART;TZID=America/New_York:20260308T090000\r\n"));
  CHECK_THAT(text, Contains("BEGIN:VTIMEZONE\r\nTZID:America/New_York\r\nBEGIN:STANDARD\r\n"));
  CHECK_THAT(
      text,
      Contains("BEGIN:DAYLIGHT\r\nDTSTART:20260308T020000\r\nTZOFFSETFROM:-0500\r\nTZOFFSETTO:-0400\r\n"));
  CHECK_THAT(
      text,
      Contains("BEGIN:STANDARD\r\nDTSTART:20261101T020000\r\nTZOFFSETFROM:-0400\r\nTZOFFSETTO:-0500\r\n"));
}

TEST_CASE("no line is longer than 75 bytes, and no character is cut", "[schedule]") {
  for (std::size_t lead = 0; lead < 8; ++lead) {
    std::string summary(lead, 'x');
    for (int i = 0; i < 60; ++i)
      summary += i % 3 == 0 ? "\xC3\xA6" : i % 3 == 1 ? "\xE2\x82\xAC" : "\xF0\x9F\xA6\xAD";
    const std::string text = text_of({entry("a", summary)});
    std::size_t full = 0;
    for (const std::string& line : folded(text)) {
      REQUIRE(line.size() <= 75);
      if (line.size() >= 72) ++full;
      const std::size_t at = line.size() > 1 && line[0] == ' ' ? 1 : 0;
      if (!line.empty()) REQUIRE((static_cast<unsigned char>(line[at]) & 0xC0) != 0x80);
    }
    CHECK(full >= 2);
    CHECK(value_of(text, "SUMMARY") == summary);
  }
}

TEST_CASE("a line of 75 bytes is not folded, one of 76 is", "[schedule]") {
  const std::string prefix = "SUMMARY:";
  const std::string fits(75 - prefix.size(), 'x');
  CHECK_THAT(text_of({entry("a", fits)}), Contains("\r\n" + prefix + fits + "\r\n"));
  CHECK_THAT(text_of({entry("a", fits + "y")}), Contains("\r\n" + prefix + fits + "\r\n y\r\n"));
}

TEST_CASE("text comes back as it was, and can add no line of its own", "[schedule]") {
  CHECK(value_of(text_of({entry("a", "a;b,c\\d\ne")}), "SUMMARY") == "a;b,c\\d\ne");
  CHECK_THAT(text_of({entry("a", "a;b,c\\d\ne")}), Contains("SUMMARY:a\\;b\\,c\\\\d\\ne\r\n"));
  CHECK(value_of(text_of({entry("a", "one\r\ntwo\rthree")}), "SUMMARY") == "one\ntwo\nthree");
  CHECK(value_of(text_of({entry("a", std::string("tab\there\0null", 13))}), "SUMMARY") == "tab here null");
  const std::string sly = text_of({entry("a\r\nSUMMARY:no", "x\r\nEND:VEVENT\r\nBEGIN:VEVENT")});
  std::size_t events = 0;
  for (const std::string& line : lines_of(sly)) events += line == "BEGIN:VEVENT" ? 1 : 0;
  CHECK(events == 1);
  CHECK(value_of(sly, "SUMMARY") == "x\nEND:VEVENT\nBEGIN:VEVENT");
}

TEST_CASE("any text is written and read back, or refused", "[schedule]") {
  Random random = test_random("calendar text");
  const std::vector<std::string> pieces{
      "a", ";", ",", "\\", "\n", " ", ":", "\xC3\xA6", "\xE2\x82\xAC", "\xF0\x9F\xA6\xAD", "n"};
  for (int i = 0; i < 2000; ++i) {
    std::string summary;
    for (std::uint64_t n = random.below(120); n > 0; --n) summary += random.pick(pieces);
    REQUIRE(value_of(text_of({entry("a", summary)}), "SUMMARY") == summary);
    const auto any = calendar_text(kHead, {entry("a", random.bytes(random.below(20)))});
    if (any) REQUIRE_NOTHROW(lines_of(*any));
  }
}

TEST_CASE("text that is not UTF-8 is refused", "[schedule]") {
  for (const char* bad : {"\x80", "\xC3", "\xC0\x80", "\xE0\x80\x80", "\xED\xA0\x80", "\xF4\x90\x80\x80",
                          "\xF8\x88\x80\x80", "ok\xFF", "\xE2\x82"}) {
    CHECK_THAT(why_not({entry("a", bad)}), Contains("UTF-8"));
    CHECK_THAT(why_not({entry(bad, "a")}), Contains("UTF-8"));
  }
}

TEST_CASE("what cannot be written is refused", "[schedule]") {
  CHECK_THAT(why_not({}), Contains("nothing is due"));
  CHECK_THAT(why_not({entry("", "a")}), Contains("no UID"));
  CHECK_THAT(why_not({entry("a", "a"), entry("a", "b")}), Contains("one UID"));
  CHECK_THAT(why_not({entry("a", "a", 253'402'300'800'000)}), Contains("9999"));
  CHECK_THAT(text_of({entry("a", "a", 253'402'300'799'999)}), Contains("DTSTART:99991231T235959Z"));
  CalendarEntry wall = entry("a", "a");
  wall.wall_clock = CalendarWallClock{kSpring, 540};
  CHECK_THAT(why_not({wall}), Contains("no time zone"));
  wall.wall_clock->minute = 1440;
  CHECK_THAT(why_not({wall}, new_york()), Contains("within the day"));
  wall.wall_clock = CalendarWallClock{kSpring + 400, 540};
  CHECK_THAT(why_not({wall}, new_york()), Contains("outside the span"));
  CalendarZone named = new_york();
  for (const char* bad : {"", "a b", "a:b", "a\r\nb", "a\"b", "Zone;X=1"}) {
    named.iana_name = bad;
    CHECK_THAT(why_not({entry("a", "a")}, named), Contains("IANA"));
  }
  CHECK_FALSE(calendar_text({"", 0}, {entry("a", "a")}));
  CHECK_FALSE(calendar_text({"\xFF", 0}, {entry("a", "a")}));
  CHECK_FALSE(calendar_text({"p", ~0ull}, {entry("a", "a")}));
}
