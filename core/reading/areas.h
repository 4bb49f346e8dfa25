// The area something is in, by its name. This is the one place that says it.
//
// An area is a record, and `in_area` names it; an area that was folded into another has the other's name. What release 0.1
// wrote has a text instead, which counts only where there is no reference. Calls ask by the name and not by the record, so
// two records that were both made as "Quay" are one area to them, and so are a record and a text of that name.
#pragma once

#include <records.pb.h>

#include <map>
#include <string>

#include "reading/gather.h"
#include "reading/record_view.h"

namespace wrackline {

class Areas {
 public:
  explicit Areas(Replica& replica) : replica_(replica) {}

  // Takes a pool, a hygiene check or a close. Empty when it says no area, or one whose record is not here.
  template <typename Message>
  Result<std::string> name_for(const Message& message) {
    const RecordId area = id_of(message.in_area());
    return area ? name_of(area) : Result<std::string>(message.area());
  }
  // The same from its fields; empty for any other kind.
  Result<std::string> name_in(std::uint32_t kind, ByteView fields);
  // The record's name, or that of the one it is folded into; its own where folds lead round in a circle. A struck area keeps its
  // name. Empty when the record is not here.
  Result<std::string> name_of(RecordId area);

  // Says in a new close whose day it is: by the area's record in account, of two with this name the one with the least id. A
  // facility of release 0.1 that has no such record, but pools with this text, is named by the text. Otherwise nothing is
  // called so: kNotFound, with `doing` in the message.
  Status put_in(proto::DayClose& close, const std::string& name, const char* doing);

 private:
  Replica& replica_;
  std::map<RecordId, std::string> names_;
};

}  // namespace wrackline
