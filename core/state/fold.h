// The merge: from the set of changes that touch one record to the record as everybody sees it.
//
// Pure. The result depends on which changes there are, never on the order, grouping or repetition of their
// arrival, and on no clock: each field is a multi-value register, an assignment falls only to one that says it
// replaces it, and stamps choose nothing but which of several standing values is shown first.
//
// Fields are opaque slices of protobuf wire format, so fields of a newer release merge like any other. One field
// has a meaning here: a strike (field `standing`) speaks of the whole record, so a strike and an edit of any
// other field disagree when neither author had seen the other. A change therefore also names what it saw and
// gives no value to: a strike the heads of all fields, an edit the strike it leaves standing. And confirmations
// (field `confirmation`) never disagree: each belongs to its own change.
#pragma once

#include <cstdint>
#include <map>
#include <utility>
#include <vector>

#include "base/built_in_fields.h"
#include "base/bytes.h"
#include "base/ids.h"
#include "log/change.h"

namespace wrackline {

// One change that touches the record, with the check its bytes have. Views must outlive the fold.
struct FoldInput {
  ChangeId id;
  std::uint32_t check = 0;
  Change change;
};

// One value given to one field.
struct Assignment {
  std::size_t input = 0;  // Index of the change in the fold's input, as sorted by fold().
  Bytes slice;            // The field as it stands in the wire format; empty = made absent.
  bool head = true;       // No other assignment replaces it.
};

struct FoldedField {
  std::uint32_t number = 0;
  // The order is that of (stamp, change id); heads and replaced ones alike.
  std::vector<Assignment> assignments;
  std::size_t heads = 0;
  // Only the field `standing` has these, when the record is struck: changes (by input) whose standing values for
  // other fields and the strike were made without knowledge of each other.
  std::vector<std::size_t> against;
  bool in_disagreement() const { return number != kConfirmationField && (heads > 1 || !against.empty()); }
  // The head with the greatest (stamp, change id).
  const Assignment& displayed() const;
};

// Costs O(n log n) in the sizes of the changes, whatever they replace and in whatever order they came.
class Folded {
 public:
  explicit Folded(RecordId of = {}) : record(of) {}

  RecordId record;
  std::uint32_t kind = 0;                       // 0 while the birth has not arrived.
  std::vector<FoldInput> inputs;                // Sorted by (stamp, change id), without repetitions.
  std::map<std::uint32_t, FoldedField> fields;  // The key is the field's number.

  // Takes in one change more, when it is later by (stamp, change id) than all that are in; else returns false, and
  // nothing has changed: then fold() all of them. The result is that of fold(); a change that replaces few values costs
  // the logarithm of what is in, unless the record is struck.
  bool add(FoldInput latest);

  // The displayed values of all fields, concatenated by field number.
  Bytes merged() const;
  // Portable and canonical: for each field in disagreement its number and its heads' change ids; empty when
  // there is none. Part of the state digest.
  Bytes disagreements() const;

 private:
  friend Folded fold(RecordId record, std::vector<FoldInput> inputs);
  void take(FoldInput latest);
  void replace(std::size_t by, const Replaced& replaced);
  void compare_strikes();

  std::map<ChangeId, std::size_t> places_;  // In `inputs`.
  // Changes that are named and not in: by which inputs, and by which of their `replaces`.
  std::map<ChangeId, std::vector<std::pair<std::size_t, std::size_t>>> awaited_;
};

Folded fold(RecordId record, std::vector<FoldInput> inputs);

// The merged fields of a record that only its birth has touched: the same as fold() of that one change, at
// the cost of a scan.
Bytes merged_birth(ByteView fields);

// Reads what Folded::disagreements() wrote.
struct Disagreement {
  std::uint32_t field = 0;
  std::vector<ChangeId> heads;
};
std::vector<Disagreement> read_disagreements(ByteView bytes);

}  // namespace wrackline
