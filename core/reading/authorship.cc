#include "reading/authorship.h"
#include "reading/record_view.h"

#include "sync/device_registry.h"
#include "sync/hub_acts.h"
#include "sync/presences.h"

namespace wrackline {

Result<proto::Authorship> authorship_of(Replica& replica, Place place, const Change& change, WallMs arrived) {
  Store& store = replica.store();
  const ChangeId id = store.logs().id_of(place);
  const LogEntry* log = store.logs().find(id.log);
  if (log == nullptr || !log->opening) return proto::AUTHORSHIP_UNSPECIFIED;
  if (replica.devices().hub().speaks(*log, id.seq)) {
    WRACKLINE_TRY_VALUE(device, replica.hub_acts().asked_from(id, change.author));
    return device ? proto::AUTHORSHIP_PROVEN : proto::AUTHORSHIP_HUB;
  }
  if (!change.author) return proto::AUTHORSHIP_DEVICE;
  WRACKLINE_TRY_VALUE(proof, replica.presences().proof({change.author, log->opening->device, change.stamp.ms(), arrived}));
  return proof ? proto::AUTHORSHIP_PROVEN : proto::AUTHORSHIP_DEVICE;
}

}  // namespace wrackline
