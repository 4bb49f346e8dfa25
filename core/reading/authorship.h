// How certain it is who wrote a change: it stands in the hub's own log, somebody had proved themselves at the device, or the
// device says so.
#pragma once

#include <reading.pb.h>

#include "log/change.h"
#include "replica/replica.h"
#include "store/store.h"

namespace wrackline {

// Answers for the change at `place`, as it was read; `arrived` is when the hub came to hold it, by its clock, or now where it has not. Unspecified
// where the change's log has no beginning here. Errors: kStorage and kin.
Result<proto::Authorship> authorship_of(Replica& replica, Place place, const Change& change, WallMs arrived);

}  // namespace wrackline
