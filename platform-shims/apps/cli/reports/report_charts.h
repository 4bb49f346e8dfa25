// The pictures of a report's tables, for the page: eaten against plan, the control chart, body masses, readings against their limits.
#pragma once

#include <string>

#include "cli/client.h"
#include "text/quantity.h"
#include "text/svg.h"

namespace wrackline::cli {

// Drawn from the table's rows, and from nothing else. `heading` is the table's in words. Empty for a table without a picture.
std::string report_chart(const ReportReply& report, const ReportTable& table, const std::string& heading);

// The vertical axis in the unit in which people write such values: a value of 1'000'000'000 is printed in it.
void set_axis(SvgChart& chart, Unit unit);

}  // namespace wrackline::cli
