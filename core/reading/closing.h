// This file says what a close of a day closed, and what came after it.
//
// A close names the logs as they were held, by their last change, and the records of that area and day. So two things
// can be told by anybody who holds the same changes, without trusting a clock:
//   - A change is part of it when it stands in its log at or before the place the close names. Any other change of a
//     record that the close lists, or that is of the area and day now, is an amendment: it was entered later, or was
//     entered before on a device that had not brought it.
//   - What was closed stands as it did when its records, folded from the changes that are part of it alone, have the
//     digest it signed.
// A close that names nothing (somebody logged it as a plain record) is told by the clocks: what was entered later is an
// amendment.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "crypto/sha256.h"
#include "reading/belonging.h"

namespace wrackline {

// The changes and records a close names.
class CloseCover {
 public:
  explicit CloseCover(const proto::DayClose& close);
  bool names_changes() const { return !logs_.empty(); }
  bool covers(ChangeId change) const;
  bool lists(RecordId record) const;
  std::vector<RecordId> records() const;
  // Whether all logs are held here as far as the close names them.
  bool is_held(const LogTable& logs) const;

 private:
  struct Named {
    Seq seq = 0;
    std::vector<Seq> records;  // Ascending.
  };
  std::map<LogId, Named> logs_;
};

// A close in account.
struct KnownClose {
  ChangeId id;
  proto::DayClose message;
  std::string area;  // The area's name, as in reading/areas.h.
  CloseCover cover;
  WallMs entered_ms = 0;

  // Whether a change of a record, which is in `of_area` now, is an amendment to it. Its day is the caller's to compare.
  bool is_amended_by(ChangeId change, WallMs change_entered_ms, RecordId record, const std::string& of_area) const;
};

class Closes {
 public:
  explicit Closes(Replica& replica) : replica_(replica), areas_(replica) {}
  // The closes of a day, by when they were entered, then by id. Valid as long as this object.
  Result<const std::vector<KnownClose>*> of_day(Day day);
  // The closes of a span of days, by day, area, id.
  Result<std::vector<KnownClose>> of_days(Day first, Day last, const std::string& area);

 private:
  Result<std::vector<KnownClose>> read(Day first, Day last);
  Replica& replica_;
  Areas areas_;
  std::map<Day, std::vector<KnownClose>> by_day_;
};

// The records of an area and a day, whatever their standing, by id: events, and what is part of them.
Result<std::vector<RecordId>> records_of_area(Replica& replica, Belonging& belonging, const std::string& area, Day day);

struct ClosedSum {
  std::uint32_t records = 0;  // Records that are born and in account of the merge, not held.
  std::uint32_t changes = 0;
  Hash sha256{};
};
// Over these records (by id), folded from all changes that are held here and not out of account, or of a `cover` from
// those it covers. For each record, as in the digest of a replica's state: id, kind, merged fields, disagreements.
Result<ClosedSum> sum_of(Replica& replica, const std::vector<RecordId>& records, const CloseCover* cover);

// Fills in what a close of these records names: sum and logs.
Status put_closed_records(Replica& replica, const std::vector<RecordId>& records, const ClosedSum& sum, proto::DayClose& out);

}  // namespace wrackline
