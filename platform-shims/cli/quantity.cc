#include "quantity.h"

#include <array>
#include <vector>

#include "decimal.h"
#include "local_time.h"

namespace wrackline::cli {
namespace {

struct Ending {
  std::string_view text;
  Unit unit;
};
// Longest first, so that "slot_min" is not taken for a duration and "cal_per_g" not for a mass.
constexpr Ending kEndings[] = {
    {"_cal_per_g", Unit::kCalPerG}, {"utc_offset_min", Unit::kOffsetMin},
    {"slots_min", Unit::kClockMin}, {"slot_min", Unit::kClockMin},
    {"_units", Unit::kUnits},       {"_days", Unit::kDays},
    {"_min", Unit::kDurationMin},   {"_cal", Unit::kEnergyCal},
    {"_ppm", Unit::kPpm},           {"_mg", Unit::kMassMg},
    {"_ug", Unit::kDoseUg},         {"_ul", Unit::kVolumeUl},
    {"_um", Unit::kLengthUm},       {"_ms", Unit::kInstantMs},
    {"_day", Unit::kDay},           {"_l", Unit::kVolumeL},
    {"weekdays", Unit::kWeekdays},
};

bool ends_with(std::string_view text, std::string_view ending) {
  return text.size() >= ending.size() && text.substr(text.size() - ending.size()) == ending;
}

// One way to write a unit: the number before it, taken to `decimals`, is in the stored unit.
struct Spelling {
  std::string_view text;  // Lower case.
  int decimals;
};

struct Written {
  const char* example;
  std::vector<Spelling> spellings;
};

const Written* written(Unit unit) {
  static const Written kMass{"1.2kg, 350g or 5mg", {{"kg", 6}, {"g", 3}, {"mg", 0}}};
  static const Written kDose{"5mg, 0.5mg, 2g or 250mcg",
                             {{"g", 6},
                              {"mg", 3},
                              {"mcg", 0},
                              {"ug", 0},
                              {"\u00b5g", 0},
                              {"\u03bcg", 0},
                              {"micrograms", 0},
                              {"microgram", 0}}};
  static const Written kMicrolitres{"0.5mL or 2L", {{"l", 6}, {"ml", 3}, {"ul", 0}, {"\u00b5l", 0}}};
  static const Written kUnitsOf{"200 units", {{"units", 0}, {"unit", 0}, {"iu", 0}}};
  static const Written kLength{"34.5cm, 120mm or 1.2m", {{"m", 6}, {"cm", 4}, {"mm", 3}, {"um", 0}}};
  static const Written kLitres{"40000L or 40m3", {{"l", 0}, {"m3", 3}, {"m\u00b3", 3}}};
  static const Written kParts{"72.05% or 720500ppm", {{"%", 4}, {"ppm", 0}}};
  static const Written kEnergyDensity{"158kcal/100g or 1580cal/g",
                                      {{"kcal/100g", 1}, {"kcal/kg", 0}, {"kcal/g", 3}, {"cal/g", 0}}};
  static const Written kEnergy{"158kcal", {{"kcal", 3}, {"cal", 0}}};
  static const Written kDayCount{"3d", {{"days", 0}, {"day", 0}, {"d", 0}}};
  switch (unit) {
    case Unit::kMassMg:
      return &kMass;
    case Unit::kDoseUg:
      return &kDose;
    case Unit::kVolumeUl:
      return &kMicrolitres;
    case Unit::kUnits:
      return &kUnitsOf;
    case Unit::kLengthUm:
      return &kLength;
    case Unit::kVolumeL:
      return &kLitres;
    case Unit::kPpm:
      return &kParts;
    case Unit::kCalPerG:
      return &kEnergyDensity;
    case Unit::kEnergyCal:
      return &kEnergy;
    case Unit::kDays:
      return &kDayCount;
    case Unit::kPlain:
    case Unit::kClockMin:
    case Unit::kOffsetMin:
    case Unit::kDurationMin:
    case Unit::kInstantMs:
    case Unit::kDay:
    case Unit::kWeekdays:
      return nullptr;
  }
  return nullptr;
}

std::string compact_lower(std::string_view text) {
  std::string out;
  for (char c : text)
    if (c != ' ') out.push_back(c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c);
  return out;
}

Unexpected unreadable(std::string_view text, const std::string& why) {
  return fail(ErrorCode::kInvalid, "\"" + std::string(text) + "\" " + why);
}

std::size_t number_length(std::string_view text) {
  std::size_t n = 0;
  while (n < text.size() && (std::string_view("0123456789.,+-").find(text[n]) != std::string_view::npos)) ++n;
  return n;
}

Result<std::int64_t> parse_clock(std::string_view text) {
  const std::string t = compact_lower(text);
  const auto colon = t.find(':');
  const bool shape = colon != std::string::npos && (colon == 1 || colon == 2) && t.size() == colon + 3;
  auto hour = shape ? parse_decimal(t.substr(0, colon), 0) : Result<std::int64_t>(-1);
  auto minute = shape ? parse_decimal(t.substr(colon + 1), 0) : Result<std::int64_t>(-1);
  if (!hour || !minute || *hour < 0 || *hour > 23 || *minute < 0 || *minute > 59 ||
      t.find_first_not_of("0123456789:") != std::string::npos)
    return unreadable(text, "is not a time of day; write it like 08:30");
  return *hour * 60 + *minute;
}

// "12h", "90min", "1h30min", "2d".
Result<std::int64_t> parse_duration(std::string_view text) {
  std::string rest = compact_lower(text);
  std::int64_t total = 0;
  if (rest.empty()) return unreadable(text, "is not a span of time; write it like 12h or 90min");
  while (!rest.empty()) {
    const std::size_t digits = number_length(rest);
    std::size_t end = digits;
    while (end < rest.size() && rest[end] >= 'a' && rest[end] <= 'z') ++end;
    const std::string unit = rest.substr(digits, end - digits);
    const int scale = unit == "d" ? 1440 : unit == "h" ? 60 : unit == "min" || unit == "m" ? 1 : 0;
    auto number = parse_decimal(rest.substr(0, digits), 0);
    if (!number || *number < 0 || *number > 1'000'000 || scale == 0)
      return unreadable(text, "is not a span of time; write it like 12h or 90min");
    total += *number * scale;
    rest.erase(0, end);
  }
  return total;
}

constexpr std::array<const char*, 7> kDayNames = {"mon", "tue", "wed", "thu", "fri", "sat", "sun"};

Result<std::int64_t> parse_weekdays(std::string_view text) {
  const std::string t = compact_lower(text) + ",";
  if (t == "every," || t == "daily," || t == "everyday,") return 0;
  std::int64_t bits = 0;
  for (std::size_t at = 0; at < t.size();) {
    const std::size_t comma = t.find(',', at);
    const std::string name = t.substr(at, comma - at);
    int day = -1;
    for (int i = 0; i < 7; ++i)
      if (name.size() >= 3 && name.substr(0, 3) == kDayNames[static_cast<std::size_t>(i)]) day = i;
    if (day < 0) return unreadable(text, "is not a list of weekdays; write it like mon,thu or every");
    bits |= std::int64_t{1} << day;
    at = comma + 1;
  }
  return bits;
}

std::string two_digits(std::int64_t n) { return (n < 10 ? "0" : "") + std::to_string(n); }

std::string print_duration(std::int64_t minutes) {
  if (minutes < 0) return std::to_string(minutes) + " min";
  const std::int64_t hours = minutes / 60, rest = minutes % 60;
  if (hours == 0) return std::to_string(rest) + " min";
  return std::to_string(hours) + " h" + (rest ? " " + std::to_string(rest) + " min" : "");
}

std::string print_weekdays(std::int64_t bits) {
  if ((bits & 127) == 0) return "every day";
  std::string out;
  for (std::size_t i = 0; i < 7; ++i)
    if (bits >> i & 1) out += (out.empty() ? "" : ",") + std::string(kDayNames[i]);
  return out;
}

std::int64_t magnitude(std::int64_t v) { return v < 0 ? -v : v; }

}  // namespace

Unit unit_of(std::string_view field_name) {
  if (field_name == "day") return Unit::kDay;
  for (const Ending& e : kEndings)
    if (ends_with(field_name, e.text)) return e.unit;
  return Unit::kPlain;
}

std::string_view name_without_unit(std::string_view field_name) {
  for (const Ending& e : kEndings) {
    if (!ends_with(field_name, e.text)) continue;
    switch (e.unit) {
      case Unit::kDay:
      case Unit::kWeekdays:
        return field_name;  // These words are the name itself.
      case Unit::kClockMin:
      case Unit::kOffsetMin:
        return field_name.substr(0, field_name.size() - 4);
      default:
        return field_name.substr(0, field_name.size() - e.text.size());
    }
  }
  return field_name;
}

Result<std::int64_t> parse_quantity(Unit unit, std::string_view text) {
  switch (unit) {
    case Unit::kPlain:
      return parse_decimal(compact_lower(text), 0);
    case Unit::kClockMin:
      return parse_clock(text);
    case Unit::kDurationMin:
      return parse_duration(text);
    case Unit::kWeekdays:
      return parse_weekdays(text);
    case Unit::kDay: {
      auto day = parse_day(text);
      if (!day) return fail(day.error());
      return *day;
    }
    case Unit::kOffsetMin:
    case Unit::kInstantMs:
      return unreadable(text, "cannot be set by hand; it follows from the time of the event");
    default:
      break;
  }
  const std::string t = compact_lower(text);
  const std::size_t digits = number_length(t);
  const std::string number = t.substr(0, digits), name = t.substr(digits);
  const Written& ways = *written(unit);
  for (const Spelling& s : ways.spellings) {
    if (name != s.text) continue;
    auto value = parse_decimal(number, s.decimals);
    if (!value)
      return fail(ErrorCode::kInvalid, "in \"" + std::string(text) + "\", " + value.error().message);
    if (*value < 0) return unreadable(text, "is below zero");
    return value;
  }
  if (name.empty()) return unreadable(text, std::string("has no unit; write it like ") + ways.example);
  return unreadable(text, std::string("has a unit that does not fit here; write it like ") + ways.example);
}

std::string print_quantity(Unit unit, std::int64_t v) {
  const std::int64_t size = magnitude(v);
  switch (unit) {
    case Unit::kPlain:
      return std::to_string(v);
    case Unit::kMassMg:
      if (size >= 1'000'000) return print_decimal(v, 6) + " kg";
      return size >= 1'000 || v == 0 ? print_decimal(v, 3) + " g" : std::to_string(v) + " mg";
    case Unit::kDoseUg:
      if (size >= 1'000'000) return print_decimal(v, 6) + " g";
      if (size >= 100 || v == 0) return print_decimal(v, 3) + " mg";
      return std::to_string(v) + (v == 1 ? " microgram" : " micrograms");
    case Unit::kVolumeUl:
      return print_decimal(v, 3) + " mL";
    case Unit::kUnits:
      return std::to_string(v) + (v == 1 ? " unit" : " units");
    case Unit::kLengthUm:
      return size < 10'000 && v != 0 ? print_decimal(v, 3) + " mm" : print_decimal(v, 4) + " cm";
    case Unit::kVolumeL:
      return std::to_string(v) + " L";
    case Unit::kClockMin:
      return two_digits(v / 60) + ":" + two_digits(v % 60);
    case Unit::kOffsetMin:
      return (v < 0 ? "-" : "+") + two_digits(size / 60) + ":" + two_digits(size % 60);
    case Unit::kDurationMin:
      return print_duration(v);
    case Unit::kDays:
      return std::to_string(v) + (v == 1 ? " day" : " days");
    case Unit::kInstantMs:
      return std::to_string(v) + " ms";  // Only without a zone at hand.
    case Unit::kDay:
      return print_day(static_cast<Day>(v));
    case Unit::kPpm:
      return print_decimal(v, 4) + " %";
    case Unit::kCalPerG:
      return print_decimal(v, 1) + " kcal/100 g";
    case Unit::kEnergyCal:
      return print_decimal(v, 3) + " kcal";
    case Unit::kWeekdays:
      return print_weekdays(v);
  }
  return std::to_string(v);
}

}  // namespace wrackline::cli
