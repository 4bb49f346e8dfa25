// Closes of days in words: shared by `wrack closes` and the day's report.
#pragma once

#include <string>

#include "cli/client.h"
#include "cli/commands/trail_words.h"
#include "cli/names.h"
#include "cli/reports/report.h"
#include "text/json.h"

namespace wrackline::cli {

// Closes in account of these days; `area` empty: of all areas.
ClosesReply closes_of(Client& client, const std::string& area, Day first, Day last);

// Whether what was closed is what stands, as a clause.
std::string close_standing_text(const CloseView& close);

// Tells who closed it and what, and its amendments, a line an entry.
ReportSection close_section(const CloseView& close, Client& client, Names& names, TrailWords& words);

// The members of an object that the caller opens and ends.
void put_close_json(Json& json, const CloseView& close, Client& client, TrailWords& words);

}  // namespace wrackline::cli
