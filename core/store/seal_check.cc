#include "store/seal_check.h"

#include <algorithm>

namespace wrackline {

bool is_signed_by_hub(const FacilityId& facility, LogId sealed_as, const LogOpening& opening, const LogSeal& seal, const HubLineage& hub) {
  const Bytes text = seal_text(facility, sealed_as, opening, seal);
  return std::any_of(hub.keys().begin(), hub.keys().end(), [&](const PublicKey& key) { return verify_signature(key, text, seal.signature); });
}

bool is_signed(const FacilityId& facility, LogId sealed_as, const LogOpening& opening, const LogSeal& seal, const HubLineage& hub) {
  if (verify_signature(opening.device, seal_text(facility, sealed_as, opening, seal), seal.signature)) return true;
  return opening.log_class == LogClass::kFormer && is_signed_by_hub(facility, sealed_as, opening, seal, hub);
}

}  // namespace wrackline
