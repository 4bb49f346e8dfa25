#include "sync/device_registry.h"

#include "log/change.h"
#include "model/device.h"
#include "model/kinds.h"

namespace wrackline {

Status DeviceRegistry::read() {
  devices_.clear();
  std::map<RecordId, PublicKey> keys;
  std::map<PublicKey, RecordId> continued;
  WRACKLINE_TRY_VALUE(places, store_.records().find(0, Kind::kDevice, 0, 0));
  for (Place place : places) {
    const RecordId id = store_.logs().id_of(place);
    const LogEntry* log = store_.logs().find(id.log);
    if (log == nullptr || !hub().speaks(*log, id.seq)) continue;
    WRACKLINE_TRY_VALUE(bytes, store_.logs().bytes_of(place));
    WRACKLINE_TRY_VALUE(birth, read_change(bytes));
    const auto born = device_fields(birth.fields);
    if (!born) continue;
    WRACKLINE_TRY_VALUE(state, store_.records().load(place));
    if (!state) continue;
    const auto now = device_fields(state->fields);
    Device device;
    device.standing = built_in_of(state->fields).struck ? DeviceStanding::kRevoked : DeviceStanding::kEnrolled;
    device.name = now ? now->name : born->name;
    device.record = id;
    device.enrolled_ms = born->enrolled_ms;
    keys[id] = born->key;
    if (born->continues) continued[born->key] = born->continues;
    // A key enrolled twice is revoked only when both records are.
    auto [it, is_new] = devices_.try_emplace(born->key, device);
    if (!is_new && it->second.standing == DeviceStanding::kRevoked) it->second = device;
  }
  for (const auto& [key, before] : continued) {
    if (const auto found = keys.find(before); found != keys.end()) devices_[key].continues = found->second;
  }
  for (auto& [key, device] : devices_) {
    if (hub().is_key(key)) device.standing = hub().is_former(key) ? DeviceStanding::kRevoked : DeviceStanding::kEnrolled;
  }
  read_at_ = store_.records().changes_of(Kind::kDevice);
  return {};
}

Result<DeviceRegistry::Device> DeviceRegistry::find(const PublicKey& key) {
  if (read_at_ != store_.records().changes_of(Kind::kDevice)) WRACKLINE_TRY(read());
  const auto it = devices_.find(key);
  if (it != devices_.end()) return it->second;
  if (!hub().is_key(key)) return Device{};
  Device unnamed;
  unnamed.standing = hub().is_former(key) ? DeviceStanding::kRevoked : DeviceStanding::kEnrolled;
  unnamed.name = "hub";
  return unnamed;
}

Result<std::map<PublicKey, DeviceRegistry::Device>> DeviceRegistry::all() {
  if (read_at_ != store_.records().changes_of(Kind::kDevice)) WRACKLINE_TRY(read());
  return devices_;
}

}  // namespace wrackline
