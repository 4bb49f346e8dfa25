#include "hosts/http_date.h"

#include <charconv>
#include <cstdio>
#include <ctime>

namespace wrackline {
namespace {

constexpr std::string_view kDays[] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
constexpr std::string_view kMonths[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                        "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

bool digits(std::string_view text, int& out) {
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), out);
  return fault == std::errc() && end == text.data() + text.size() && text.front() != '-';
}

}  // namespace

std::string http_date(WallMs ms) {
  const std::time_t seconds = static_cast<std::time_t>(ms / 1000);
  std::tm t{};
  ::gmtime_r(&seconds, &t);
  char text[64];
  std::snprintf(text, sizeof text, "%s, %02d %s %04d %02d:%02d:%02d GMT", kDays[t.tm_wday].data(), t.tm_mday,
                kMonths[t.tm_mon].data(), t.tm_year + 1900, t.tm_hour, t.tm_min, t.tm_sec);
  return text;
}

std::optional<WallMs> parse_http_date(std::string_view text) {
  std::tm t{};
  int year = 0;
  if (text.size() != 29 || !digits(text.substr(5, 2), t.tm_mday) || !digits(text.substr(12, 4), year) ||
      !digits(text.substr(17, 2), t.tm_hour) || !digits(text.substr(20, 2), t.tm_min) ||
      !digits(text.substr(23, 2), t.tm_sec))
    return std::nullopt;
  t.tm_year = year - 1900;
  t.tm_mon = -1;
  for (int month = 0; month < 12; ++month) {
    if (text.substr(8, 3) == kMonths[month]) t.tm_mon = month;
  }
  if (t.tm_mon < 0) return std::nullopt;
  const std::time_t seconds = ::timegm(&t);
  if (seconds < 0) return std::nullopt;
  const WallMs ms = static_cast<WallMs>(seconds) * 1000;
  // Writing it again finds everything else: separators, the day's name, a 31 February.
  if (http_date(ms) != text) return std::nullopt;
  return ms;
}

}  // namespace wrackline
