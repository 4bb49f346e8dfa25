#include "model/presence.h"

#include "base/wire.h"
#include "model/lateness.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kPersonField = 1, kDeviceField = 2, kFromField = 3, kUntilField = 4, kPinMarkField = 5;

}  // namespace

PresenceSpan presence_span(ByteView fields) {
  PresenceSpan out;
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number == kPersonField) out.person = decode_record_ref(field.bytes);
    if (field.number == kDeviceField) out.device = decode_record_ref(field.bytes);
    if (field.number == kFromField) out.from = field.scalar;
    if (field.number == kUntilField) out.until = field.scalar;
    if (field.number == kPinMarkField) out.pin_mark = Bytes(field.bytes);
  }
  return out;
}

bool covers(const PresenceSpan& span, WallMs stamped, WallMs arrived) {
  return stamped + kPresenceGraceMs >= span.from && stamped <= span.until && arrived <= span.until + kLateHeldMs;
}

}  // namespace wrackline
