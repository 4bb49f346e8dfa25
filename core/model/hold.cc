#include "model/hold.h"

#include "model/messages.h"
#include "records.pb.h"

namespace wrackline {

HeldChanges held_changes(ByteView hold_fields) {
  proto::Hold hold;
  const bool is_usable = read_message(hold_fields, hold) && hold.of_log() != 0 && hold.first_seq() >= 1 &&
                         hold.first_seq() <= hold.last_seq() && hold.last_seq() <= kSeqMax;
  return is_usable ? HeldChanges{LogId{hold.of_log()}, hold.first_seq(), hold.last_seq()} : HeldChanges{};
}

HoldCause hold_cause(ByteView hold_fields) {
  proto::Hold hold;
  (void)read_message(hold_fields, hold);
  return static_cast<HoldCause>(hold.cause());
}

Bytes hold_fields(const HeldChanges& changes, HoldCause cause, const std::string& note, WallMs held) {
  proto::Hold hold;
  hold.set_of_log(changes.log.value);
  hold.set_first_seq(changes.first);
  hold.set_last_seq(changes.last);
  hold.set_cause(static_cast<proto::HoldCause>(cause));
  hold.set_note(note);
  hold.set_held_ms(held);
  return hold.SerializeAsString();
}

}  // namespace wrackline
