// Fills the columns "by" and "standing" of every table of records: they say who wrote a record, by whose word, and what people
// disagree about in it.
// Only report/*.cc include this.
#pragma once

#include "reading/roster.h"
#include "report/report_table.h"

namespace wrackline {

class Origins {
 public:
  // `roster` must outlive this object.
  Origins(Replica& replica, Roster& roster) : replica_(replica), roster_(roster) {}

  // Reads the facility's rule of proofs. Call it first. Errors: of the store.
  Status start();

  struct Origin {
    proto::ReportCell by;        // The author; the code "hub" where nobody is; marked where the name is the device's word alone.
    proto::ReportCell standing;  // The code "in_disagreement" with its fields; absent for a plain record.
  };
  // Answers for a record that is held here, whatever its standing. Errors: of the store.
  Result<Origin> of(Place record);

  // A person as somebody named them: by their name, unmarked.
  Result<proto::ReportCell> named(const proto::RecordRef& record);

 private:
  Replica& replica_;
  Roster& roster_;
  bool asks_for_proofs_ = false;
};

// Says under a table that some of its names are the device's word alone, where one is.
void note_unproven(TableWriter& table);

}  // namespace wrackline
