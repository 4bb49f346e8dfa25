// This file says what readings of one pool's water tell together: salinity from conductivity, density, oxygen saturation,
// un-ionised ammonia, combined chlorine, the mean of coliform samples.
//
// We have a rule for which readings go together. It is stated here so that a figure can be held against it:
//
//   conductivity, temperature  within 30 minutes of each other: the salinity turns on both
//   chlorine total, free       within 30 minutes: two halves of one test
//   any other pair             the nearest reading of the same husbandry day; of two as near, the earlier
//   salinity                   read on the same day, nearest first; else derived on that day; else the last
//                              known of the seven days before, since a pool's salinity moves slowly
//   air pressure               nearest of the day; else the standard atmosphere, and the figure says so
//   coliform                   a sample above the limit is averaged with the next two, each taken 24 to 72
//                              hours after the one before: near enough to 48 for people to judge
//
// A figure that its formula refuses (another pH scale, a total below the free) is not made, and it is said why. Outside
// the range its authors give it is made and marked: there no two formulas agree.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "water/ammonia.h"
#include "water/coliform.h"

namespace wrackline {

enum class WaterProperty : std::uint8_t {
  kTemperature,    // thousandths of a degree C, ITS-90
  kSalinity,       // thousandths on the practical salinity scale
  kConductivity,   // microsiemens per centimetre, as it is at the water's temperature
  kPh,             // thousandths
  kOxygen,         // micrograms per litre
  kAmmonia,        // total, as nitrogen, micrograms per litre
  kChlorineFree,   // as Cl2, micrograms per litre
  kChlorineTotal,  // as Cl2, micrograms per litre
  kColiform,       // most probable number in 100 ml
  kAirPressure,    // pascals
};

struct PoolReading {
  WaterProperty property = WaterProperty::kTemperature;
  std::int64_t value = 0;
  Day day = 0;
  // Absent = not known; then it is near to nothing, but of its day all the same.
  std::optional<WallMs> at_ms;
  PhScale ph_scale = PhScale::kNbs;
};

enum class DerivedFigure : std::uint8_t {
  kSalinity,          // thousandths
  kDensity,           // grams per cubic metre
  kOxygenSaturation,  // parts per million of saturation
  kAmmoniaUnionised,  // as nitrogen, nanograms per litre
  kChlorineCombined,  // as Cl2, micrograms per litre
  kColiformMean,      // thousandths of the number in 100 ml
};

struct DerivedWater {
  DerivedFigure figure = DerivedFigure::kSalinity;
  std::int64_t value = 0;
  std::string formula;  // Name, source, validity, and what was taken to be so.
  bool outside_range = false;
  std::vector<std::size_t> from;                            // Indexes into the readings; the first says when.
  ColiformVerdict coliform = ColiformVerdict::kCannotTell;  // The verdict for kColiformMean.
};

// A figure that was not made although all it needs was read.
struct RefusedWater {
  DerivedFigure figure = DerivedFigure::kSalinity;
  std::string reason;             // In words; of the formula.
  std::vector<std::size_t> from;  // Indexes into the readings; the first says when.
};

// The averaging of 9 CFR 3.106 for a limit of the facility's own list: two further samples at 48-hour
// intervals.
ColiformRule coliform_averaging(std::uint32_t limit_mpn, const std::string& source);

// The PhScale that a reading's method names: "total scale", "free scale", "sea water scale" (or SWS); else
// NBS.
PhScale ph_scale_of(const std::string& method);

// `readings` in the order of time; figures by their first reading, then by figure. Without a rule no coliform
// mean. Those that were refused are appended to `refused`, unless that is null.
std::vector<DerivedWater> derive_water(const std::vector<PoolReading>& readings,
                                       const std::optional<ColiformRule>& coliform_rule,
                                       std::vector<RefusedWater>* refused = nullptr);

}  // namespace wrackline
