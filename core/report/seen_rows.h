// The columns and cells of observations, in every table that has some. Only report/*.cc include this.
#pragma once

#include "report/origin.h"

namespace wrackline {

// Behind what says when, and of which animal: what was seen, by whom.
ReportColumns seen_columns();
// Errors: of the store.
Result<ReportCells> seen_cells(const Gathered<proto::Observation>& seen, Origins& origins);

}  // namespace wrackline
