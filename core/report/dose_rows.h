// The columns and cells of doses, in every table that has some. Only report/*.cc include this.
#pragma once

#include "report/origin.h"

namespace wrackline {

// Due, how it stands, what came of it, when, by whom; behind what says whose dose it is.
ReportColumns dose_columns();

class DoseRows {
 public:
  // It must outlive this object.
  explicit DoseRows(Origins& origins) : origins_(origins) {}

  // A dose that was due (`item`), one that was recorded (`dose`), or both in one; null for what is not. A dose beside the order's times
  // has the code "beside_order" for its time. Errors: of the store.
  Result<ReportCells> cells(const proto::DueItem* item, const Gathered<proto::Administration>* dose);

 private:
  Origins& origins_;
};

// Doses that are due on a day; other things of the round are left out. `animal`: of it alone.
Result<std::vector<proto::DueItem>> doses_due(Replica& replica, const proto::ReportCall& call, Day day, const proto::RecordRef* animal);

}  // namespace wrackline
