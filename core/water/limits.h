// A reading beside the limits that people have written down for it.
//
// Limits are data, with the place they come from; none stands in the code. They differ between species,
// permits and years, and the facility's vet, its permits and local codes have the last word. So nothing here
// adds limits up to one answer: each row is answered for itself.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace wrackline {

struct LimitRow {
  std::string quantity;  // "pH", "redox potential", "ammonia": the facility's own list.
  std::string unit;      // The unit of the scaled whole numbers: "pH thousandths", "mV".
  // The scale or reference of the number, without which it cannot be compared: "NBS scale", "as NH3",
  // "against Ag/AgCl in 3 mol/l KCl". May be empty where there is no choice.
  std::string basis;
  std::optional<std::int64_t> low;   // Absent = no lower limit. The limits themselves are inside.
  std::optional<std::int64_t> high;  // Absent = no upper limit.
  std::string source;                // The text, with its year.
  bool verified = false;             // A person has compared the row with its source.
};

struct LimitReading {
  std::string quantity;
  std::string unit;
  std::string basis;
  std::optional<std::int64_t> value;  // Absent = not measured, or off the end of the instrument's scale.
};

enum class LimitVerdict : std::uint8_t {
  kBelow,
  kInside,
  kAbove,
  kNotMeasured,    // Neither inside nor outside.
  kNotComparable,  // Another unit or basis than the row's: convert the reading first.
  kRowUnusable,    // check_limit_row() refuses the row.
};

struct LimitJudgement {
  std::size_t row = 0;  // Index into the rows given.
  LimitVerdict verdict = LimitVerdict::kNotMeasured;
  bool verified = false;  // The row's; an unverified one is shown as such wherever its answer is.
};

// Errors: kInvalid for a row without quantity, unit or source, without any limit, or with its low above its
// high.
Status check_limit_row(const LimitRow& row);

// One answer for each row of the reading's quantity, in the order of the rows. A row that is unusable is
// answered as such and does not silence the others.
std::vector<LimitJudgement> judge_reading(const LimitReading& reading, const std::vector<LimitRow>& rows);

}  // namespace wrackline
