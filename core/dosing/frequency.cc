#include "dosing/frequency.h"

#include <optional>

#include "base/digits.h"

namespace wrackline {
namespace {

Unexpected refused(std::string_view text, const std::string& why) {
  return fail(ErrorCode::kInvalid, "reading a frequency: \"" + std::string(text) + "\" " + why);
}

// Lower case, without points; spaces single and none at the ends. A point between digits stays, so that
// "every 1.5 hours" is not taken for 15.
std::string in_plain_letters(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const bool in_number = i > 0 && i + 1 < text.size() && is_digit(text[i - 1]) && is_digit(text[i + 1]);
    if (c == '.' && !in_number) continue;
    if (c == ' ' || c == '\t') {
      if (!out.empty() && out.back() != ' ') out.push_back(' ');
      continue;
    }
    out.push_back(c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c);
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

// A number at the front of `text`, which is taken off; at most 5 digits.
std::optional<std::uint32_t> take_number(std::string_view& text) {
  std::uint32_t number = 0;
  std::size_t n = 0;
  while (n < text.size() && is_digit(text[n])) {
    if (n == 5) return std::nullopt;
    number = number * 10 + static_cast<std::uint32_t>(text[n++] - '0');
  }
  if (n == 0) return std::nullopt;
  text.remove_prefix(n);
  return number;
}

bool take(std::string_view& text, std::string_view start) {
  if (text.substr(0, start.size()) != start) return false;
  text.remove_prefix(start.size());
  return true;
}

struct Known {
  std::string_view text;
  Frequency frequency;
  FrequencyReading reading;
};

constexpr Frequency kOnceADay{FrequencyRule::kTimesADay, 1};
constexpr Frequency kTwiceADay{FrequencyRule::kTimesADay, 2};
constexpr Frequency kThriceADay{FrequencyRule::kTimesADay, 3};
constexpr Frequency kFourTimesADay{FrequencyRule::kTimesADay, 4};
constexpr Frequency kEvery48Hours{FrequencyRule::kEveryHours, 48};
constexpr Frequency kOnceAWeek{FrequencyRule::kOnceAWeek, 1};

constexpr Known kKnown[] = {
    {"sid", kOnceADay, FrequencyReading::kMisread},
    {"qd", kOnceADay, FrequencyReading::kMisread},
    {"bid", kTwiceADay, FrequencyReading::kAbbreviation},
    {"tid", kThriceADay, FrequencyReading::kAbbreviation},
    {"qid", kFourTimesADay, FrequencyReading::kAbbreviation},
    {"qod", kEvery48Hours, FrequencyReading::kMisread},
    {"eod", kEvery48Hours, FrequencyReading::kAbbreviation},
    {"every other day", kEvery48Hours, FrequencyReading::kAbbreviation},
    {"daily", kOnceADay, FrequencyReading::kPlain},
    {"once daily", kOnceADay, FrequencyReading::kPlain},
    {"once a day", kOnceADay, FrequencyReading::kPlain},
    {"twice daily", kTwiceADay, FrequencyReading::kPlain},
    {"twice a day", kTwiceADay, FrequencyReading::kPlain},
    {"three times a day", kThriceADay, FrequencyReading::kPlain},
    {"four times a day", kFourTimesADay, FrequencyReading::kPlain},
    {"qw", kOnceAWeek, FrequencyReading::kAbbreviation},
    {"q1w", kOnceAWeek, FrequencyReading::kAbbreviation},
    {"weekly", kOnceAWeek, FrequencyReading::kPlain},
    {"once weekly", kOnceAWeek, FrequencyReading::kPlain},
    {"once a week", kOnceAWeek, FrequencyReading::kPlain},
    {"every week", kOnceAWeek, FrequencyReading::kPlain},
};

struct NotOne {
  std::string_view text;
  const char* why;
};

constexpr NotOne kNotOne[] = {
    {"od", "means once a day to one reader and the right eye to another; write which"},
    {"hs", "means at bedtime to one reader and half strength to another; write the time of the day"},
    {"qhs", "means at bedtime to one reader and every hour to another; write the time of the day"},
    {"prn", "says when needed and not how often; enter the least time between doses and the most in a day"},
    {"stat", "says at once and not how often; enter one dose with its time"},
};

std::optional<Frequency> every(std::uint32_t number, std::uint32_t hours_each) {
  if (number == 0 || number > kEveryHoursMax / hours_each) return std::nullopt;
  return Frequency{FrequencyRule::kEveryHours, number * hours_each};
}

// "q12h", "q 12 hours", "q3d".
std::optional<Frequency> abbreviated_interval(std::string_view text) {
  if (!take(text, "q")) return std::nullopt;
  take(text, " ");
  const auto number = take_number(text);
  if (!number) return std::nullopt;
  take(text, " ");
  if (text == "h" || text == "hr" || text == "hrs" || text == "hour" || text == "hours")
    return every(*number, 1);
  if (text == "d" || text == "day" || text == "days") return every(*number, 24);
  return std::nullopt;
}

// "every 12 hours", "every 3 days", "5 times a day".
std::optional<Frequency> plain_words(std::string_view text) {
  if (take(text, "every ")) {
    const auto number = take_number(text);
    if (!number) return std::nullopt;
    if (text == " hour" || text == " hours") return every(*number, 1);
    if (text == " day" || text == " days") return every(*number, 24);
    return std::nullopt;
  }
  const auto number = take_number(text);
  if (!number || *number == 0 || *number > kTimesADayMax) return std::nullopt;
  if (text == " times a day" || text == " times daily") return Frequency{FrequencyRule::kTimesADay, *number};
  return std::nullopt;
}

FrequencyRead read_as(std::string_view text, const Frequency& frequency, FrequencyReading reading) {
  FrequencyRead out{frequency, reading, {}};
  if (reading != FrequencyReading::kPlain)
    out.expansion = "\"" + std::string(text) + "\" is read as: " + frequency_text(frequency);
  return out;
}

}  // namespace

Result<FrequencyRead> parse_frequency(std::string_view text) {
  constexpr std::size_t kTextMax = 64;
  if (text.size() > kTextMax)
    return fail(ErrorCode::kInvalid, "reading a frequency: it is too long; write it like \"twice a day\"");
  const std::string wanted = in_plain_letters(text);
  for (const Known& known : kKnown) {
    if (known.text == wanted) return read_as(text, known.frequency, known.reading);
  }
  for (const NotOne& other : kNotOne) {
    if (other.text == wanted) return refused(text, other.why);
  }
  if (const auto frequency = plain_words(wanted)) return read_as(text, *frequency, FrequencyReading::kPlain);
  if (const auto frequency = abbreviated_interval(wanted)) {
    const bool misread = wanted == "q1d" || wanted == "q 1 d" || wanted == "q 1d" || wanted == "q1 d";
    return read_as(text, *frequency, misread ? FrequencyReading::kMisread : FrequencyReading::kAbbreviation);
  }
  return refused(text,
                 "is not known; write it out, like \"twice a day\", \"every 12 hours\" or \"once a week\"");
}

std::string frequency_text(const Frequency& frequency) {
  const std::string count = std::to_string(frequency.count);
  switch (frequency.rule) {
    case FrequencyRule::kTimesADay:
      if (frequency.count == 1) return "once a day";
      if (frequency.count == 2) return "twice a day";
      return count + " times a day";
    case FrequencyRule::kEveryHours:
      if (frequency.count == 1) return "every 1 hour";
      if (frequency.count >= 96 && frequency.count % 24 == 0)
        return "every " + std::to_string(frequency.count / 24) + " days";
      return "every " + count + " hours";
    case FrequencyRule::kOnceAWeek:
      break;
  }
  return "once a week";
}

std::uint32_t nominal_interval_min(const Frequency& frequency) {
  switch (frequency.rule) {
    case FrequencyRule::kTimesADay:
      return frequency.count == 0 ? 0 : 24 * 60 / frequency.count;
    case FrequencyRule::kEveryHours:
      return frequency.count * 60;
    case FrequencyRule::kOnceAWeek:
      break;
  }
  return 7 * 24 * 60;
}

}  // namespace wrackline
