// How the calls name a record and show it: its reference in messages, its state with what people want to know about it, and the
// refusal where it is not held.
#pragma once

#include <reading.pb.h>

#include "base/result.h"
#include "replica/replica.h"
#include "store/store.h"

namespace wrackline {

inline ChangeId id_of(const proto::RecordRef& ref) {
  return ref.seq() > kSeqMax ? ChangeId{} : ChangeId{LogId{ref.log()}, ref.seq()};
}
inline void put_id(ChangeId id, proto::RecordRef& out) {
  out.set_log(id.log.value);
  out.set_seq(id.seq);
}

// Fills the view of a record that is held. `place` has a state.
Status put_view(Replica& replica, Place place, const RecordState& state, proto::RecordView& out);
// The state of a record, or kNotFound with `doing` in its message.
Result<RecordState> require_record(Replica& replica, ChangeId id, const char* doing);

}  // namespace wrackline
