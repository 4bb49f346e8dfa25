#include "sync/device_registry.h"

#include "log/change.h"
#include "base/wire.h"
#include "model/kinds.h"

namespace wrackline {
namespace {

// Fields of the message Device.
constexpr std::uint32_t kNameField = 1;
constexpr std::uint32_t kPublicKeyField = 2;
constexpr std::uint32_t kEnrolledField = 3;

ByteView bytes_field(ByteView message, std::uint32_t number) {
  WireReader reader(message);
  WireField field;
  ByteView found;
  while (reader.next(field)) {
    if (field.number == number) found = field.bytes;
  }
  return found;
}

std::uint64_t number_field(ByteView message, std::uint32_t number) {
  WireReader reader(message);
  WireField field;
  std::uint64_t found = 0;
  while (reader.next(field)) {
    if (field.number == number) found = field.scalar;
  }
  return found;
}

}  // namespace

Status DeviceRegistry::read() {
  devices_.clear();
  WRACKLINE_TRY_VALUE(places, store_.records().find(0, Kind::kDevice, 0, 0));
  for (Place place : places) {
    const LogEntry* log = store_.logs().find(store_.logs().id_of(place).log);
    if (log == nullptr || log->device != hub_key_) continue;
    WRACKLINE_TRY_VALUE(bytes, store_.logs().bytes_of(place));
    WRACKLINE_TRY_VALUE(birth, read_change(bytes));
    PublicKey key{};
    if (!copy_exactly(bytes_field(birth.fields, kPublicKeyField), key)) continue;
    WRACKLINE_TRY_VALUE(state, store_.records().load(place));
    if (!state) continue;
    Device device;
    device.standing = built_in_of(state->fields).struck ? DeviceStanding::kRevoked : DeviceStanding::kEnrolled;
    device.name = std::string(bytes_field(state->fields, kNameField));
    device.record = store_.logs().id_of(place);
    device.enrolled_ms = number_field(birth.fields, kEnrolledField);
    // A key enrolled twice is revoked only when both records are.
    auto [it, is_new] = devices_.try_emplace(key, device);
    if (!is_new && it->second.standing == DeviceStanding::kRevoked) it->second = device;
  }
  read_at_ = store_.records().device_changes();
  return {};
}

Result<DeviceRegistry::Device> DeviceRegistry::find(const PublicKey& key) {
  if (read_at_ != store_.records().device_changes()) WRACKLINE_TRY(read());
  const auto it = devices_.find(key);
  if (it != devices_.end() && key != hub_key_) return it->second;
  if (key == hub_key_) return Device{DeviceStanding::kEnrolled, it != devices_.end() ? it->second.name : "hub", {}, 0};
  return Device{};
}

Result<std::map<PublicKey, DeviceRegistry::Device>> DeviceRegistry::all() {
  if (read_at_ != store_.records().device_changes()) WRACKLINE_TRY(read());
  return devices_;
}

}  // namespace wrackline
