#include "schedule/calendar.h"

#include <set>
#include <string_view>

#include "base/iso_week.h"

namespace wrackline {
namespace {

constexpr std::size_t kLineBytesMax = 75;              // RFC 5545 3.1, without the line break
constexpr WallMs kWritableMsMax = 253'402'300'799'999;  // End of the year 9999
constexpr std::int64_t kDayS = 86'400;

Unexpected cannot_write(const std::string& why) { return fail(ErrorCode::kInvalid, "writing a calendar: " + why); }

bool is_continuation(char c) { return (static_cast<unsigned char>(c) & 0xC0) == 0x80; }

// Bytes of the UTF-8 character at the front, or 0 when there is none: RFC 3629, section 4.
std::size_t character_size(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char first = byte(0);
  if (first < 0x80) return 1;
  const std::size_t size = first >= 0xC2 && first <= 0xDF   ? 2
                           : (first & 0xF0) == 0xE0         ? 3
                           : first >= 0xF0 && first <= 0xF4 ? 4
                                                            : 0;
  if (size == 0 || text.size() < size) return 0;
  for (std::size_t i = 1; i < size; ++i)
    if (!is_continuation(text[i])) return 0;
  const bool overlong = (first == 0xE0 && byte(1) < 0xA0) || (first == 0xF0 && byte(1) < 0x90);
  const bool surrogate = first == 0xED && byte(1) > 0x9F;
  const bool too_large = first == 0xF4 && byte(1) > 0x8F;
  return overlong || surrogate || too_large ? 0 : size;
}

bool is_utf8(std::string_view text) {
  while (!text.empty()) {
    const std::size_t size = character_size(text);
    if (size == 0) return false;
    text.remove_prefix(size);
  }
  return true;
}

// A TEXT value: section 3.3.11.
std::string escaped(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\\' || c == ';' || c == ',') {
      out.push_back('\\');
      out.push_back(c);
    } else if (c == '\r' && i + 1 < text.size() && text[i + 1] == '\n') {
      continue;  // One line break, not two
    } else if (c == '\n' || c == '\r') {
      out += "\\n";
    } else {
      out.push_back(static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? ' ' : c);
    }
  }
  return out;
}

void add_line(std::string& out, std::string_view line) {
  std::size_t room = kLineBytesMax;
  while (line.size() > room) {
    std::size_t cut = room;
    while (cut > 0 && is_continuation(line[cut])) --cut;
    out += line.substr(0, cut);
    out += "\r\n ";
    line.remove_prefix(cut);
    room = kLineBytesMax - 1;  // The space at the front counts.
  }
  out += line;
  out += "\r\n";
}

std::string padded(std::uint64_t number, std::size_t digits) {
  std::string text = std::to_string(number);
  if (text.size() < digits) text.insert(0, digits - text.size(), '0');
  return text;
}

// "20261101T013000"; seconds after 1970-01-01 of whatever clock is meant, in the years 0 to 9999.
std::string date_time(std::int64_t seconds) {
  const std::int64_t day = (seconds >= 0 ? seconds : seconds - (kDayS - 1)) / kDayS;
  const auto second = static_cast<std::uint64_t>(seconds - day * kDayS);
  const CivilDate date = civil_date(static_cast<Day>(day));
  return padded(static_cast<std::uint64_t>(date.year), 4) + padded(date.month, 2) + padded(date.day, 2) +
         "T" + padded(second / 3600, 2) + padded(second / 60 % 60, 2) + padded(second % 60, 2);
}

std::string utc(WallMs at_ms) { return date_time(static_cast<std::int64_t>(at_ms / 1000)) + "Z"; }

std::string offset(std::int32_t minutes) {
  const auto size = static_cast<std::uint64_t>(minutes < 0 ? -minutes : minutes);
  return (minutes < 0 ? "-" : "+") + padded(size / 60, 2) + padded(size % 60, 2);
}

bool is_zone_name(std::string_view name) {
  if (name.empty() || name.size() > 64) return false;
  for (char c : name) {
    const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    const bool digit = c >= '0' && c <= '9';
    if (!letter && !digit && std::string_view("/_+-").find(c) == std::string_view::npos) return false;
  }
  return true;
}

// One observance for each change, since the offsets are all that is known of the zone's rules. Summer time is
// not told from standard time by an offset, and no program needs it; an offset raised is named daylight.
void add_zone(std::string& out, const CalendarZone& zone) {
  add_line(out, "BEGIN:VTIMEZONE");
  add_line(out, "TZID:" + zone.iana_name);
  const std::vector<OffsetChange>& changes = zone.offsets.changes();
  for (std::size_t i = 0; i < changes.size(); ++i) {
    const std::int32_t to_min = changes[i].utc_offset_min;
    const std::int32_t from_min = i > 0 ? changes[i - 1].utc_offset_min : to_min;
    const std::string observance = to_min > from_min ? "DAYLIGHT" : "STANDARD";
    const std::int64_t onset_s =
        static_cast<std::int64_t>(changes[i].from_ms / 1000) + from_min * std::int64_t{60};
    add_line(out, "BEGIN:" + observance);
    add_line(out, "DTSTART:" + date_time(onset_s));
    add_line(out, "TZOFFSETFROM:" + offset(from_min));
    add_line(out, "TZOFFSETTO:" + offset(to_min));
    add_line(out, "END:" + observance);
  }
  add_line(out, "END:VTIMEZONE");
}

Result<std::string> start_line(const CalendarEntry& entry, const std::optional<CalendarZone>& zone) {
  if (!entry.wall_clock) {
    if (entry.start_ms > kWritableMsMax) return cannot_write("an entry starts after the year 9999; check its time");
    return "DTSTART:" + utc(entry.start_ms);
  }
  if (!zone) return cannot_write("an entry goes by the clock on the wall, and no time zone was handed in");
  // It refuses what lies outside the zone's span, and so outside the years that can be written.
  WRACKLINE_TRY(zone->offsets.instant(entry.wall_clock->day, entry.wall_clock->minute));
  return "DTSTART;TZID=" + zone->iana_name + ":" +
         date_time(entry.wall_clock->day * kDayS + entry.wall_clock->minute * std::int64_t{60});
}

}  // namespace

Result<std::string> calendar_text(const CalendarHead& head, const std::vector<CalendarEntry>& entries,
                                  const std::optional<CalendarZone>& zone) {
  if (entries.empty()) return cannot_write("nothing is due, and a calendar needs an entry; ask for a longer span");
  if (!is_utf8(head.product) || head.product.empty())
    return cannot_write("the product's name is empty or not UTF-8");
  if (head.made_ms > kWritableMsMax)
    return cannot_write("it is made after the year 9999; check this device's clock");
  if (zone && !is_zone_name(zone->iana_name))
    return cannot_write("the time zone has no IANA name, such as Europe/Oslo");

  std::string out;
  add_line(out, "BEGIN:VCALENDAR");
  add_line(out, "VERSION:2.0");
  add_line(out, "PRODID:" + escaped(head.product));
  if (zone) add_zone(out, *zone);
  std::set<std::string> uids;
  for (const CalendarEntry& entry : entries) {
    if (!is_utf8(entry.uid) || !is_utf8(entry.summary)) return cannot_write("an entry's text is not UTF-8");
    if (entry.uid.empty()) return cannot_write("an entry has no UID; give each the id of what is due");
    if (!uids.insert(entry.uid).second) return cannot_write("two entries have one UID; give each its own");
    WRACKLINE_TRY_VALUE(start, start_line(entry, zone));
    add_line(out, "BEGIN:VEVENT");
    add_line(out, "UID:" + escaped(entry.uid));
    add_line(out, "DTSTAMP:" + utc(head.made_ms));
    add_line(out, start);
    if (entry.duration_min != 0) add_line(out, "DURATION:PT" + std::to_string(entry.duration_min) + "M");
    add_line(out, "SUMMARY:" + escaped(entry.summary));
    add_line(out, "END:VEVENT");
  }
  add_line(out, "END:VCALENDAR");
  return out;
}

}  // namespace wrackline
