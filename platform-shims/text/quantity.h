// Numbers with units, as people write and read them.
//
// Which unit a field's number is in stands beside the field (model/field_schema.h). This file reads "1.2kg", "08:30" or "72.05%" into that unit exactly, and prints it back exactly, in the
// unit a person would say. A number without its unit is refused: 350 of what?
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.h"
#include "model/field_schema.h"

namespace wrackline::text {

using wrackline::Unit;

// Errors: kInvalid, with a sentence that says what would be right. kInstantMs is local_time.h's business.
// A decimal comma is a point, where it can be nothing else: "1,2kg" is read, "1,200kg" is asked about.
Result<std::int64_t> parse_quantity(Unit unit, std::string_view text);

// How a value of this unit may be written: "1.2kg, 350g or 5mg".
const char* unit_example(Unit unit);

// Exact and with its unit: "1.2 kg", "350 g", "08:30", "72.05 %". Doses follow the medication-error lists:
// never a trailing zero, always a zero before the point, "units" and "micrograms" in full.
std::string print_quantity(Unit unit, std::int64_t value);

}  // namespace wrackline::text
