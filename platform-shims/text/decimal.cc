#include "text/decimal.h"

#include <limits>

#include "base/digits.h"

namespace wrackline::text {
namespace {

Unexpected unreadable(std::string_view text, const std::string& why) {
  return fail(ErrorCode::kInvalid, "\"" + std::string(text) + "\" " + why);
}

}  // namespace

Result<std::int64_t> parse_decimal(std::string_view text, int decimals) {
  std::string_view rest = text;
  bool negative = false;
  if (!rest.empty() && (rest.front() == '-' || rest.front() == '+')) {
    negative = rest.front() == '-';
    rest.remove_prefix(1);
  }
  std::string whole, fraction;
  char mark = 0;
  for (char c : rest) {
    if (is_digit(c)) {
      (mark ? fraction : whole).push_back(c);
    } else if ((c == '.' || c == ',') && !mark) {
      mark = c;
    } else {
      return unreadable(text, "is not a number");
    }
  }
  if (whole.empty() && fraction.empty()) return unreadable(text, "is not a number");
  if (whole.empty()) return unreadable(text, "has no digit before the point; write 0." + fraction);
  if (mark && fraction.empty()) return unreadable(text, "ends in a point; write " + whole);
  if (mark == ',' && fraction.size() == 3 && whole != "0")
    return unreadable(text, "could mean " + whole + fraction + " or " + whole + "." + fraction +
                                "; write it without the comma or with a point");
  while (static_cast<int>(fraction.size()) > decimals && fraction.back() == '0') fraction.pop_back();
  if (static_cast<int>(fraction.size()) > decimals)
    return unreadable(text, decimals == 0 ? "must be a whole number in this unit"
                                          : "has more than " + std::to_string(decimals) +
                                                " decimals, finer than is stored");
  fraction.resize(static_cast<std::size_t>(decimals), '0');

  std::int64_t value = 0;
  for (char c : whole + fraction) {
    const int digit = c - '0';
    if (value > (std::numeric_limits<std::int64_t>::max() - digit) / 10)
      return unreadable(text, "is too large");
    value = value * 10 + digit;
  }
  return negative ? -value : value;
}

std::string print_decimal(std::int64_t value, int decimals) {
  // Unsigned arithmetic, since the smallest integer has no positive counterpart.
  std::uint64_t rest = value < 0 ? 0 - static_cast<std::uint64_t>(value) : static_cast<std::uint64_t>(value);
  std::string digits = std::to_string(rest);
  const auto places = static_cast<std::size_t>(decimals);
  if (digits.size() <= places) digits.insert(0, places + 1 - digits.size(), '0');
  std::string whole = digits.substr(0, digits.size() - places);
  std::string fraction = digits.substr(digits.size() - places);
  while (!fraction.empty() && fraction.back() == '0') fraction.pop_back();
  return (value < 0 ? "-" : "") + whole + (fraction.empty() ? "" : "." + fraction);
}

}  // namespace wrackline::text
