// The entries of the trail that one change makes: one for each field it gives a value to or makes absent, with what that
// replaced, where it came from, and what there is to notice about it.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <set>
#include <vector>

#include "reading/belonging.h"
#include "reading/closing.h"
#include "state/fold.h"

namespace wrackline {

class TrailWriter {
 public:
  explicit TrailWriter(Replica& replica) : replica_(replica), belonging_(replica), closes_(replica) {}

  // Appends the entries of the change at `place`, by field number. Nothing for a place that is not held. A change that
  // is out of account by a hold has entries too, marked so: it replaces nothing, and nothing of it stands.
  Status append(Place place, std::vector<proto::TrailEntry>& out);

  // Appends the entries of all changes of a record, in the order (stamp, log, seq).
  Status append_all(RecordId record, std::vector<proto::TrailEntry>& out);

  Belonging& belonging() { return belonging_; }

 private:
  // All entries of a record share this.
  struct Known {
    std::shared_ptr<const FoldedHistory> history;
    std::vector<Link> chain;
    std::string area;
    std::set<Day> days;  // The day of the event as displayed now, and every day it ever was recorded for.
    BuiltIn built_in;
  };
  Result<const Known*> known(RecordId record);
  Status put_origin(Place place, const Change& change, const Known& of, proto::TrailEntry& out);
  Status put_close(const Change& change, RecordId record, const Known& of, proto::TrailEntry& out);

  Replica& replica_;
  Belonging belonging_;
  Closes closes_;
  std::map<RecordId, std::unique_ptr<Known>> known_;
  std::map<LogId, std::string> devices_;
};

}  // namespace wrackline
