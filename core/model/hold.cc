#include "model/hold.h"

#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

HeldChanges held_changes(ByteView hold_fields) {
  proto::Hold hold;
  const bool is_usable = read_message(hold_fields, hold) && hold.of_log() != 0 && hold.first_seq() >= 1 &&
                         hold.first_seq() <= hold.last_seq() && hold.last_seq() <= kSeqMax;
  return is_usable ? HeldChanges{LogId{hold.of_log()}, hold.first_seq(), hold.last_seq()} : HeldChanges{};
}

std::optional<NamedBranch> named_branch(ByteView hold_fields) {
  proto::Hold hold;
  if (!read_message(hold_fields, hold) || !hold.has_fork()) return std::nullopt;
  const proto::ForkedBranch& fork = hold.fork();
  NamedBranch out{LogId{fork.root()}, LogId{fork.of()}, fork.after_seq(), fork.start(), {}, fork.opening()};
  const bool is_usable = out.root && out.of && out.after < kSeqMax && hold.of_log() != fork.root() &&
                         copy_exactly(fork.first(), out.first);
  return is_usable ? std::optional<NamedBranch>(out) : std::nullopt;
}

HoldCause hold_cause(ByteView hold_fields) {
  proto::Hold hold;
  (void)read_message(hold_fields, hold);
  return static_cast<HoldCause>(hold.cause());
}

Bytes hold_fields(const HeldChanges& changes, HoldCause cause, const std::string& note, WallMs held,
                  const NamedBranch* named) {
  proto::Hold hold;
  hold.set_of_log(changes.log.value);
  hold.set_first_seq(changes.first);
  hold.set_last_seq(changes.last);
  hold.set_cause(static_cast<proto::HoldCause>(cause));
  hold.set_note(note);
  hold.set_held_ms(held);
  if (named != nullptr) {
    proto::ForkedBranch& fork = *hold.mutable_fork();
    fork.set_root(named->root.value);
    fork.set_of(named->of.value);
    fork.set_after_seq(named->after);
    fork.set_start(named->start);
    fork.set_first(Bytes(view(named->first)));
    fork.set_opening(named->opening);
  }
  return hold.SerializeAsString();
}

}  // namespace wrackline
