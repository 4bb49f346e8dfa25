#include "log/chain.h"

#include "crypto/texts.h"

namespace wrackline {

Hash chain_start(const FacilityId& facility, LogId log, const PublicKey& device) {
  Bytes log_bytes;
  append_le(log_bytes, log.value, 8);
  return sha256("wrackline/log/1", view(facility), log_bytes, view(device));
}

}  // namespace wrackline
