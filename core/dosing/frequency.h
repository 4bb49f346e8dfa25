// How often: the old abbreviations in, plain words out.
//
// Two rules that a screen must not mix up:
//   times a day    slots of the day by the clock on the wall ("twice a day": 08:00 and 20:00)
//   every n hours  elapsed hours from dose to dose, whatever the clock on the wall does
// "BID" is the first, "q12h" the second. Every other day (EOD, QOD, q48h) is the second: every 48 hours.
//
// Abbreviations are read and never written. A reading is shown before it is kept; of those on the lists
// below, the person is asked.
//   Joint Commission, official "Do Not Use" list: QD and QOD in all spellings.
//   ISMP list of error-prone abbreviations (from memory): q1d, o.d., qhs.
//   SID is a veterinary form that people trained elsewhere read as BID or QID (from memory).
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.h"

namespace wrackline {

enum class FrequencyRule {
  kTimesADay,   // `count` slots of every day
  kEveryHours,  // `count` elapsed hours from dose to dose
  kOnceAWeek,   // `count` is 1
};

struct Frequency {
  FrequencyRule rule = FrequencyRule::kTimesADay;
  std::uint32_t count = 1;

  friend bool operator==(const Frequency& a, const Frequency& b) {
    return a.rule == b.rule && a.count == b.count;
  }
};

inline constexpr std::uint32_t kTimesADayMax = 24;
inline constexpr std::uint32_t kEveryHoursMax = 366 * 24;

enum class FrequencyReading {
  kPlain,         // Written out: nothing to show.
  kAbbreviation,  // Show what it was read as.
  kMisread,       // Known to be misread: show it and have it confirmed.
};

struct FrequencyRead {
  Frequency frequency;
  FrequencyReading reading = FrequencyReading::kPlain;
  // For kAbbreviation and kMisread, one line for the screen: "SID" is read as: once a day.
  std::string expansion;
};

// Reads an abbreviation or the plain words, in any case, with or without points: "BID", "q.12.h", "EOD",
// "every 48 hours", "twice a day", "weekly". Errors: kInvalid for what is not known, for what has two
// meanings (o.d., qhs, HS) and for what has no frequency (PRN, stat); the sentence says what to write.
Result<FrequencyRead> parse_frequency(std::string_view text);

// "once a day", "twice a day", "3 times a day", "every 12 hours", "every 48 hours", "every 7 days", "once a
// week". Whole days from four on are said in days. parse_frequency reads it back as it was.
std::string frequency_text(const Frequency& frequency);

// Minutes from dose to dose when they are spread evenly: 480 for 3 times a day. For plausibility and stock,
// never for a due time of kTimesADay: that is the order's slots.
std::uint32_t nominal_interval_min(const Frequency& frequency);

}  // namespace wrackline
