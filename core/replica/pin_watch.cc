#include "replica/pin_watch.h"

#include "model/kinds.h"
#include "records.pb.h"
#include "replica/author.h"
#include "replica/pins.h"
#include "replica/replica.h"
#include "store/store.h"

namespace wrackline {
namespace {

std::string warned_name(RecordId person) { return "pin-warning-" + to_text(person); }

// When the hub last wrote it of this person; 0 for never, and for a time that has not come yet, since a clock that is put back must not
// keep it from writing.
Result<WallMs> warned_at(Store& store, RecordId person, WallMs now) {
  WRACKLINE_TRY_VALUE(kept, store.meta(warned_name(person)));
  const WallMs at = kept && kept->size() == 8 ? load_le(*kept) : 0;
  return at > now ? WallMs{0} : at;
}

Status warn(Replica& hub, RecordId person, const PublicKey& device) {
  Store& store = hub.store();
  WRACKLINE_TRY(store.refresh());
  WRACKLINE_TRY_VALUE(run, hub.pins().wrong_in_a_row(person, to_hex(view(device))));
  const WallMs now = hub.now();
  WRACKLINE_TRY_VALUE(warned, warned_at(store, person, now));
  const bool is_told = warned != 0 && (now - warned < kPinWarningEveryMs || run.last_ms <= warned);
  if (run.times < WrongPins::kFreeTries || is_told) return {};
  WRACKLINE_TRY_VALUE(known, hub.devices().find(device));
  proto::PinWarning warning;
  warning.mutable_person()->set_log(person.log.value);
  warning.mutable_person()->set_seq(person.seq);
  warning.mutable_device()->set_log(known.record.log.value);
  warning.mutable_device()->set_seq(known.record.seq);
  warning.set_since_ms(run.first_ms);
  warning.set_times(run.times);
  warning.set_at_ms(run.last_ms);
  NewRecord record;
  record.kind = static_cast<std::uint32_t>(Kind::kPinWarning);
  record.fields = warning.SerializeAsString();
  Bytes at;
  append_le(at, now, 8);
  WRACKLINE_TRY_VALUE(write, store.begin_write());
  WRACKLINE_TRY(hub.author().log_records_in({}, {record}));
  WRACKLINE_TRY(store.set_meta(warned_name(person), at));
  WRACKLINE_TRY(hub.author().seal_in());
  return hub.author().commit(write);
}

Status warn_if_wrong(Replica& hub, RecordId person, const PublicKey& device, Status checked) {
  if (checked || (checked.error().code != ErrorCode::kWrongPin && checked.error().code != ErrorCode::kRateLimited)) return checked;
  // Whoever asks is told of their PIN, also when the warning could not be written; the next wrong try writes it.
  (void)warn(hub, person, device);
  return checked;
}

}  // namespace

Status check_pin_shown(Replica& hub, RecordId person, ByteView pin, const PublicKey& device) {
  return warn_if_wrong(hub, person, device, hub.pins().check(person, pin, to_hex(view(device))));
}

Status check_pin_or_code_shown(Replica& hub, RecordId person, ByteView secret, const PublicKey& device) {
  return warn_if_wrong(hub, person, device, hub.pins().check_for_another(person, secret, to_hex(view(device))));
}

}  // namespace wrackline
