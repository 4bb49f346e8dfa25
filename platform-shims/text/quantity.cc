#include "text/quantity.h"

#include <array>
#include <map>
#include <optional>
#include <vector>

#include "dosing/amount_text.h"
#include "dosing/frequency.h"
#include "text/decimal.h"
#include "text/local_time.h"

namespace wrackline::text {
namespace {

// One way to write a unit: the number before it, taken to `decimals`, is in the stored unit.
struct Spelling {
  std::string_view text;  // The text as compact() leaves it.
  int decimals;
};

struct Notation {
  const char* example;
  std::vector<Spelling> spellings;
  // Any of these may follow the spelling.
  std::vector<std::string_view> tails = {""};
  bool may_be_negative = false;
};

const Notation* written(Unit unit) {
  static const std::vector<Spelling> kMassSpellings = {{"kg", 6}, {"g", 3}, {"mg", 0}};
  static const std::vector<Spelling> kDoseSpellings = {{"g", 6},  {"mg", 3},         {"mcg", 0},
                                                       {"ug", 0}, {"micrograms", 0}, {"microgram", 0}};
  static const std::vector<Spelling> kUnitSpellings = {{"units", 0}, {"unit", 0}, {"iu", 0}};
  static const std::vector<Spelling> kPerLitre = {{"mg/l", 3}, {"ug/l", 0}};
  static const std::vector<std::string_view> kOfFood = {"/kgfood", "/kgoffood", "/kgfish", "/kgoffish"};
  static const std::map<Unit, Notation> kAll = {
      {Unit::kMassMg, {"1.2kg, 350g or 5mg", kMassSpellings}},
      {Unit::kMassChangeMg, {"12kg for what came or -350g for what went", kMassSpellings, {""}, true}},
      {Unit::kDoseUg, {"5mg, 0.5mg, 2g or 250mcg", kDoseSpellings}},
      {Unit::kVolumeUl, {"0.5mL or 2L", {{"l", 6}, {"ml", 3}, {"ul", 0}}}},
      {Unit::kUnits, {"200 units", kUnitSpellings}},
      {Unit::kDoseUgPerKg, {"5mg/kg or 250mcg/kg", kDoseSpellings, {"/kg"}}},
      {Unit::kDoseUgPerKgFood, {"30mg/kg food", kDoseSpellings, kOfFood}},
      {Unit::kUnitsPerKgFood, {"100 units/kg food", kUnitSpellings, kOfFood}},
      {Unit::kStrengthUgPerMl, {"50mg/mL", kDoseSpellings, {"/ml"}}},
      {Unit::kStrengthUgPerUnit,
       {"250mg/tablet or 250mg/capsule", kDoseSpellings, {"/tabletorcapsule", "/tablet", "/capsule"}}},
      {Unit::kLengthUm, {"34.5cm, 120mm or 1.2m", {{"m", 6}, {"cm", 4}, {"mm", 3}, {"um", 0}}}},
      {Unit::kVolumeL, {"40000L or 40m3", {{"l", 0}, {"m3", 3}, {"m\u00b3", 3}}}},
      {Unit::kPpm, {"72.05% or 720500ppm", {{"%", 4}, {"ppm", 0}}}},
      {Unit::kUgPerG, {"57mg/100g or 570mg/kg", {{"mg/100g", 1}, {"mg/kg", 0}, {"ug/g", 0}, {"mg/g", 3}}}},
      {Unit::kCalPerG,
       {"158kcal/100g or 1580cal/g", {{"kcal/100g", 1}, {"kcal/kg", 0}, {"kcal/g", 3}, {"cal/g", 0}}}},
      {Unit::kEnergyCal, {"158kcal", {{"kcal", 3}, {"cal", 0}}}},
      {Unit::kDays, {"3d", {{"days", 0}, {"day", 0}, {"d", 0}}}},
      {Unit::kHours, {"24h", {{"hours", 0}, {"hour", 0}, {"h", 0}}}},
      {Unit::kScore, {"3.5", {{"", 3}}}},
      {Unit::kTemperature, {"24.5C", {{"c", 3}}, {""}, true}},
      {Unit::kSalinity, {"34.2psu", {{"psu", 3}}}},
      {Unit::kConductivity, {"48.3mS/cm or 850uS/cm", {{"ms/cm", 3}, {"us/cm", 0}}}},
      {Unit::kMassPerL, {"7.1mg/L or 20ug/L", kPerLitre}},
      {Unit::kNitrogenPerL, {"0.02mg/L, as nitrogen", kPerLitre, {"", "asn"}}},
      {Unit::kChlorinePerL, {"0.05mg/L, as Cl2", kPerLitre, {"", "ascl2"}}},
      {Unit::kCarbonatePerL, {"115mg/L, as CaCO3", kPerLitre, {"", "ascaco3"}}},
      {Unit::kRedox, {"350mV", {{"mv", 0}}, {""}, true}},
      {Unit::kMostProbableNumber, {"900 MPN, in 100 mL", {{"mpn", 0}}, {"", "/100ml"}}},
      {Unit::kTurbidity, {"0.35NTU", {{"ntu", 3}}}},
      {Unit::kPressurePa, {"1013hPa", {{"hpa", 2}, {"mbar", 2}, {"kpa", 3}, {"pa", 0}}}},
  };
  const auto at = kAll.find(unit);
  return at == kAll.end() ? nullptr : &at->second;
}

// Without spaces and degree signs, in lower case, with u for both letters people use for micro.
std::string compact(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const std::string_view two = text.substr(i, 2);
    if (two == "\u00b5" || two == "\u03bc") {
      out.push_back('u');
      ++i;
    } else if (two == "\u00b0") {
      ++i;
    } else if (text[i] != ' ') {
      out.push_back(text[i] >= 'A' && text[i] <= 'Z' ? static_cast<char>(text[i] + 32) : text[i]);
    }
  }
  return out;
}

Unexpected cannot_read(std::string_view text, const std::string& why) {
  return fail(ErrorCode::kInvalid, "\"" + std::string(text) + "\" " + why);
}

std::size_t number_length(std::string_view text) {
  std::size_t n = 0;
  while (n < text.size() && (std::string_view("0123456789.,+-").find(text[n]) != std::string_view::npos)) ++n;
  return n;
}

Result<std::int64_t> parse_clock(std::string_view text) {
  const std::string t = compact(text);
  const auto colon = t.find(':');
  const bool shape = colon != std::string::npos && (colon == 1 || colon == 2) && t.size() == colon + 3;
  auto hour = shape ? parse_decimal(t.substr(0, colon), 0) : Result<std::int64_t>(-1);
  auto minute = shape ? parse_decimal(t.substr(colon + 1), 0) : Result<std::int64_t>(-1);
  if (!hour || !minute || *hour < 0 || *hour > 23 || *minute < 0 || *minute > 59 ||
      t.find_first_not_of("0123456789:") != std::string::npos)
    return cannot_read(text, "is not a time of day; write it like 08:30");
  return *hour * 60 + *minute;
}

// "q8h" or "every 8 hours": from dose to dose. An abbreviation that is known to be misread is none of ours, and times of the day are no span.
std::optional<std::int64_t> minutes_between_doses(std::string_view text) {
  const auto read = parse_frequency(text);
  if (!read || read->reading == FrequencyReading::kMisread || read->frequency.rule != FrequencyRule::kEveryHours) return std::nullopt;
  return static_cast<std::int64_t>(read->frequency.count) * 60;
}

// "12h", "90min", "1h30min", "2d", and what prescriptions say.
Result<std::int64_t> parse_duration(std::string_view text) {
  if (const auto between = minutes_between_doses(text)) return *between;
  std::string rest = compact(text);
  std::int64_t total = 0;
  if (rest.empty()) return cannot_read(text, "is not a span of time; write it like 12h or 90min");
  while (!rest.empty()) {
    const std::size_t digits = number_length(rest);
    std::size_t end = digits;
    while (end < rest.size() && rest[end] >= 'a' && rest[end] <= 'z') ++end;
    const std::string unit = rest.substr(digits, end - digits);
    const int scale = unit == "d" ? 1440 : unit == "h" ? 60 : unit == "min" || unit == "m" ? 1 : 0;
    auto number = parse_decimal(rest.substr(0, digits), 0);
    if (!number || *number < 0 || *number > 1'000'000 || scale == 0)
      return cannot_read(text, "is not a span of time; write it like 12h or 90min");
    total += *number * scale;
    rest.erase(0, end);
  }
  return total;
}

// "10", "10min" or "1h30min", where the field's name says minutes.
Result<std::int64_t> parse_minutes(std::string_view text) {
  const std::string t = compact(text);
  if (t.find_first_not_of("0123456789") == std::string::npos && !t.empty()) return parse_decimal(t, 0);
  return parse_duration(text);
}

// "30s" or "2min".
Result<std::int64_t> parse_seconds(std::string_view text) {
  const std::string t = compact(text);
  const std::size_t digits = number_length(t);
  const std::string unit = t.substr(digits);
  const int scale = unit == "s" ? 1 : unit == "min" ? 60 : unit == "h" ? 3600 : 0;
  auto number = parse_decimal(t.substr(0, digits), 0);
  if (!number || *number < 0 || *number > 1'000'000'000 || scale == 0)
    return cannot_read(text, "is not a span of time; write it like 30s or 2min");
  return *number * scale;
}

// "1/4" or 4: what part of a tablet can be given.
Result<std::int64_t> parse_tablet_parts(std::string_view text) {
  std::string t = compact(text);
  if (t.substr(0, 2) == "1/") t.erase(0, 2);
  auto parts = parse_decimal(t, 0);
  if (!parts || *parts < 1) return cannot_read(text, "is not a part of a tablet; write it like 1/4");
  return parts;
}

// "8.12" or "pH 8.12".
Result<std::int64_t> parse_ph(std::string_view text) {
  std::string t = compact(text);
  if (t.substr(0, 2) == "ph") t.erase(0, 2);
  auto value = parse_decimal(t, 3);
  if (!value) return cannot_read(text, "is not a pH; write it like 8.12 (" + value.error().message + ")");
  return value;
}

constexpr std::array<const char*, 7> kDayNames = {"mon", "tue", "wed", "thu", "fri", "sat", "sun"};

Result<std::int64_t> parse_weekdays(std::string_view text) {
  const std::string t = compact(text) + ",";
  if (t == "every," || t == "daily," || t == "everyday,") return 0;
  std::int64_t bits = 0;
  for (std::size_t at = 0; at < t.size();) {
    const std::size_t comma = t.find(',', at);
    const std::string name = t.substr(at, comma - at);
    int day = -1;
    for (int i = 0; i < 7; ++i)
      if (name.size() >= 3 && name.substr(0, 3) == kDayNames[static_cast<std::size_t>(i)]) day = i;
    if (day < 0) return cannot_read(text, "is not a list of weekdays; write it like mon,thu or every");
    bits |= std::int64_t{1} << day;
    at = comma + 1;
  }
  return bits;
}

std::string two_digits(std::int64_t n) { return (n < 10 ? "0" : "") + std::to_string(n); }

std::string print_duration(std::int64_t total_min) {
  if (total_min < 0) return std::to_string(total_min) + " min";
  const std::int64_t hours = total_min / 60, rest = total_min % 60;
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

const char* unit_example(Unit unit) {
  if (const Notation* ways = written(unit)) return ways->example;
  switch (unit) {
    case Unit::kTabletParts:
      return "1/4";
    case Unit::kClockMin:
      return "08:30";
    case Unit::kDurationMin:
      return "12h or 90min";
    case Unit::kMinutes:
      return "10 or 10min";
    case Unit::kSeconds:
      return "30s or 2min";
    case Unit::kInstantMs:
      return "2026-11-24 08:35";
    case Unit::kDayNumber:
      return "2026-11-24";
    case Unit::kWeekdays:
      return "mon,thu or every";
    case Unit::kPh:
      return "8.12";
    default:
      return "3";
  }
}

Result<std::int64_t> parse_quantity(Unit unit, std::string_view text) {
  switch (unit) {
    case Unit::kPlain:
      return parse_decimal(compact(text), 0);
    case Unit::kClockMin:
      return parse_clock(text);
    case Unit::kDurationMin:
      return parse_duration(text);
    case Unit::kMinutes:
      return parse_minutes(text);
    case Unit::kSeconds:
      return parse_seconds(text);
    case Unit::kTabletParts:
      return parse_tablet_parts(text);
    case Unit::kPh:
      return parse_ph(text);
    case Unit::kWeekdays:
      return parse_weekdays(text);
    case Unit::kDayNumber: {
      auto day = parse_day(text);
      if (!day) return fail(day.error());
      return *day;
    }
    case Unit::kOffsetMin:
    case Unit::kInstantMs:
      return cannot_read(text, "cannot be set by hand; it follows from the time of the event");
    default:
      break;
  }
  const std::string t = compact(text);
  const std::size_t digits = number_length(t);
  const std::string number = t.substr(0, digits), name = t.substr(digits);
  const Notation* ways = written(unit);
  if (!ways) return cannot_read(text, "cannot be typed in");
  for (const Spelling& spelling : ways->spellings) {
    for (const std::string_view tail : ways->tails) {
      if (name != std::string(spelling.text).append(tail)) continue;
      auto value = parse_decimal(number, spelling.decimals);
      if (!value)
        return fail(ErrorCode::kInvalid, "in \"" + std::string(text) + "\", " + value.error().message);
      if (*value < 0 && !ways->may_be_negative) return cannot_read(text, "is below zero");
      return value;
    }
  }
  if (name.empty()) return cannot_read(text, std::string("has no unit; write it like ") + ways->example);
  return cannot_read(text, std::string("has a unit that does not fit here; write it like ") + ways->example);
}

namespace {

std::string print_mass(std::int64_t v) {
  const std::int64_t size = magnitude(v);
  if (size >= 1'000'000) return print_decimal(v, 6) + " kg";
  return size >= 1'000 || v == 0 ? print_decimal(v, 3) + " g" : std::to_string(v) + " mg";
}

// Amounts of medicine have one notation that cannot be misread (dosing/amount_text.h).
std::string print_dose(std::int64_t ug) { return dose_mass_text({ug, 1}); }
std::string print_units(std::int64_t units) { return dose_units_text({units, 1}); }

std::string counted(std::int64_t v, const char* what) {
  return std::to_string(v) + " " + what + (v == 1 ? "" : "s");
}

}  // namespace

std::string print_quantity(Unit unit, std::int64_t v) {
  const std::int64_t size = magnitude(v);
  switch (unit) {
    case Unit::kPlain:
      return std::to_string(v);
    case Unit::kMassMg:
      return print_mass(v);
    case Unit::kMassChangeMg:
      return (v > 0 ? "+" : "") + print_mass(v);
    case Unit::kDoseUg:
      return print_dose(v);
    case Unit::kVolumeUl:
      return dose_volume_text({v, 1});
    case Unit::kUnits:
      return print_units(v);
    case Unit::kDoseUgPerKg:
      return print_dose(v) + "/kg";
    case Unit::kDoseUgPerKgFood:
      return print_dose(v) + "/kg food";
    case Unit::kUnitsPerKgFood:
      return print_units(v) + "/kg food";
    case Unit::kStrengthUgPerMl:
      return print_dose(v) + "/mL";
    case Unit::kStrengthUgPerUnit:
      return print_dose(v) + "/tablet or capsule";
    case Unit::kTabletParts:
      return "1/" + std::to_string(v);
    case Unit::kLengthUm:
      return size < 10'000 && v != 0 ? print_decimal(v, 3) + " mm" : print_decimal(v, 4) + " cm";
    case Unit::kVolumeL:
      return std::to_string(v) + " L";
    case Unit::kClockMin:
      return two_digits(v / 60) + ":" + two_digits(v % 60);
    case Unit::kOffsetMin:
      return (v < 0 ? "-" : "+") + two_digits(size / 60) + ":" + two_digits(size % 60);
    case Unit::kDurationMin:
    case Unit::kMinutes:
      return print_duration(v);
    case Unit::kSeconds:
      return v != 0 && v % 60 == 0 ? std::to_string(v / 60) + " min" : std::to_string(v) + " s";
    case Unit::kHours:
      return std::to_string(v) + " h";
    case Unit::kDays:
      return counted(v, "day");
    case Unit::kInstantMs:
      return std::to_string(v) + " ms";  // Only without a zone at hand.
    case Unit::kDayNumber:
      return print_day(static_cast<Day>(v));
    case Unit::kPpm:
      return print_decimal(v, 4) + " %";
    case Unit::kUgPerG:
      return print_decimal(v, 1) + " mg/100 g";
    case Unit::kCalPerG:
      return print_decimal(v, 1) + " kcal/100 g";
    case Unit::kEnergyCal:
      return print_decimal(v, 3) + " kcal";
    case Unit::kWeekdays:
      return print_weekdays(v);
    case Unit::kScore:
      return print_decimal(v, 3);
    case Unit::kTemperature:
      return print_decimal(v, 3) + " \u00b0C";
    case Unit::kSalinity:
      return print_decimal(v, 3) + " psu";
    case Unit::kConductivity:
      return size < 1'000 ? std::to_string(v) + " \u00b5S/cm" : print_decimal(v, 3) + " mS/cm";
    case Unit::kPh:
      return "pH " + print_decimal(v, 3);
    case Unit::kMassPerL:
      return print_decimal(v, 3) + " mg/L";
    case Unit::kNitrogenPerL:
      return print_decimal(v, 3) + " mg/L as N";
    case Unit::kChlorinePerL:
      return print_decimal(v, 3) + " mg/L as Cl2";
    case Unit::kCarbonatePerL:
      return print_decimal(v, 3) + " mg/L as CaCO3";
    case Unit::kRedox:
      return std::to_string(v) + " mV";
    case Unit::kMostProbableNumber:
      return std::to_string(v) + " MPN/100 mL";
    case Unit::kTurbidity:
      return print_decimal(v, 3) + " NTU";
    case Unit::kPressurePa:
      return print_decimal(v, 2) + " hPa";
    case Unit::kDensity:
      return print_decimal(v, 3) + " kg/m\u00b3";
    case Unit::kNitrogenNgPerL:
      return print_decimal(v, 6) + " mg/L as N";
    case Unit::kMeanProbableNumber:
      return print_decimal(v, 3) + " MPN/100 mL";
  }
  return std::to_string(v);
}

}  // namespace wrackline::text
