// Whose word a receipt is.
#pragma once

#include <optional>

#include "base/ids.h"
#include "crypto/signing.h"
#include "store/hub_lineage.h"
#include "store/receipt_table.h"

namespace wrackline {

// The key of the hub that signed it; none when no key of the hub did. A receipt names no key, so each is tried. One by a
// key that the hub uses no more (HubLineage::is_former) dates what it speaks of only as well as that key was kept.
std::optional<PublicKey> receipt_signer(const FacilityId& facility, const HubLineage& hub, LogId log, const Receipt& receipt);

}  // namespace wrackline
