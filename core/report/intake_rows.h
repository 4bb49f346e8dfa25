// The columns and cells of intake, in every table that has some. Only report/*.cc include this.
#pragma once

#include "report/report_table.h"

namespace wrackline {

// The columns of an animal's day: meals, portions not weighed back, offered, left, eaten, planned, share of plan and of body mass.
// People read `left` where one animal's days stand below each other; beside many animals there is no room for it.
ReportColumns intake_columns(bool is_of_one);
// A day that nobody recorded has for "meals" the code "unrecorded", and every figure is absent: a gap, not a zero.
ReportCells intake_cells(const proto::IntakeDay& day);

// The days of one animal, a row each, with what they come to and how old the body masses are that they are reckoned by.
TableWriter intake_days(const proto::IntakeReply& intake);

// Says under a table what its marked figures are of, where one is marked.
void note_part(TableWriter& table);

}  // namespace wrackline
