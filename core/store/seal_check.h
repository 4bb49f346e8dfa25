// The check of whose seal a log has.
#pragma once

#include "base/ids.h"
#include "log/seal.h"
#include "store/hub_lineage.h"

namespace wrackline {

// Whether the seal is the device's over the log that it calls `sealed_as`. For a log that was brought over from an earlier form
// the hub may have sealed in the place of a device that is gone.
bool is_signed(const FacilityId& facility, LogId sealed_as, const LogOpening& opening, const LogSeal& seal, const HubLineage& hub);

// Whether it is that of a key of the hub's, whosever log it is.
bool is_signed_by_hub(const FacilityId& facility, LogId sealed_as, const LogOpening& opening, const LogSeal& seal, const HubLineage& hub);

}  // namespace wrackline
