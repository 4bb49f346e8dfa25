#include "model/device.h"

#include "crypto/signing.h"
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

std::optional<DeviceFields> device_fields(ByteView fields) {
  proto::Device device;
  DeviceFields out;
  if (!read_message(fields, device) || !copy_exactly(device.public_key(), out.key) || !is_sound_key(out.key)) return std::nullopt;
  out.name = device.name();
  out.enrolled_ms = device.enrolled_ms();
  const auto ref = [](const proto::RecordRef& from) { return from.log() != 0 && from.seq() != 0 ? RecordId{LogId{from.log()}, from.seq()} : RecordId{}; };
  out.continues = ref(device.continues());
  out.invited_by = ref(device.invited_by());
  out.invited_from = ref(device.invited_from());
  out.of_hub = device.of_hub();
  for (const proto::LogEnd& end : device.ends()) out.ends.push_back({LogId{end.log()}, end.seq()});
  return out;
}

Bytes to_fields(const DeviceFields& device) {
  proto::Device out;
  out.set_name(device.name);
  out.set_public_key(Bytes(view(device.key)));
  out.set_enrolled_ms(device.enrolled_ms);
  const auto put = [](RecordId id, proto::RecordRef& to) {
    to.set_log(id.log.value);
    to.set_seq(id.seq);
  };
  if (device.continues) put(device.continues, *out.mutable_continues());
  if (device.invited_by) put(device.invited_by, *out.mutable_invited_by());
  if (device.invited_from) put(device.invited_from, *out.mutable_invited_from());
  if (device.of_hub) out.set_of_hub(true);
  for (const ChangeId& end : device.ends) {
    proto::LogEnd& to = *out.add_ends();
    to.set_log(end.log.value);
    to.set_seq(end.seq);
  }
  return out.SerializeAsString();
}

}  // namespace wrackline
