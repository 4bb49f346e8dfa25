#include "model/device.h"

#include "crypto/signing.h"
#include "model/messages.h"
#include "records.pb.h"

namespace wrackline {

std::optional<DeviceFields> device_fields(ByteView fields) {
  proto::Device device;
  DeviceFields out;
  if (!read_message(fields, device) || !copy_exactly(device.public_key(), out.key) || !is_sound_key(out.key)) return std::nullopt;
  out.name = device.name();
  out.enrolled_ms = device.enrolled_ms();
  if (device.continues().log() != 0 && device.continues().seq() != 0) {
    out.continues = {LogId{device.continues().log()}, device.continues().seq()};
  }
  out.of_hub = device.of_hub();
  for (const proto::LogEnd& end : device.ends()) out.ends.push_back({LogId{end.log()}, end.seq()});
  return out;
}

Bytes to_fields(const DeviceFields& device) {
  proto::Device out;
  out.set_name(device.name);
  out.set_public_key(Bytes(view(device.key)));
  out.set_enrolled_ms(device.enrolled_ms);
  if (device.continues) {
    out.mutable_continues()->set_log(device.continues.log.value);
    out.mutable_continues()->set_seq(device.continues.seq);
  }
  if (device.of_hub) out.set_of_hub(true);
  for (const ChangeId& end : device.ends) {
    proto::LogEnd& to = *out.add_ends();
    to.set_log(end.log.value);
    to.set_seq(end.seq);
  }
  return out.SerializeAsString();
}

}  // namespace wrackline
