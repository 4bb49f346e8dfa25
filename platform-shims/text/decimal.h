// Decimal text to whole numbers and back, without floating point, so that what was typed is what is stored.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.h"

namespace wrackline::text {

// "1.25" with 6 decimals is 1250000. A decimal comma is taken as a point. Refused, because a person could
// mean something else: "1,250" (a thousand, or one and a quarter?), ".5" (the point is easily lost), "5."
// and digits finer than `decimals`.
// Errors: kInvalid, with a sentence that names `text`.
Result<std::int64_t> parse_decimal(std::string_view text, int decimals);

// The shortest exact form: 1250000 with 6 decimals is "1.25"; never a trailing zero, never a bare point.
std::string print_decimal(std::int64_t value, int decimals);

}  // namespace wrackline::text
