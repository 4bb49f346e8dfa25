#include "sync/receipt_signer.h"

#include "crypto/texts.h"

namespace wrackline {

std::optional<PublicKey> receipt_signer(const FacilityId& facility, const HubLineage& hub, LogId log, const Receipt& receipt) {
  const Bytes text = receipt_text(facility, {log, receipt.seq}, receipt.head, receipt.held_ms);
  for (const PublicKey& key : hub.keys()) {
    if (verify_signature(key, text, receipt.signature)) return key;
  }
  return std::nullopt;
}

}  // namespace wrackline
