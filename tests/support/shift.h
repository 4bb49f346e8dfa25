// A keeper at work on one device: short ways to log what tests need, through the public call where it matters.
#pragma once

#include <call.pb.h>
#include <records.pb.h>

#include <string>
#include <utility>

#include "model/kinds.h"
#include "support/facility.h"

namespace wrackline {

inline proto::RecordRef ref_of(RecordId id) {
  proto::RecordRef ref;
  ref.set_log(id.log.value);
  ref.set_seq(id.seq);
  return ref;
}

class Shift {
 public:
  Shift(Device& device, RecordId person) : device_(device), person_(person) {}

  // A record of any kind; it must be accepted.
  RecordId log(Kind kind, const google::protobuf::MessageLite& message);
  // Gives fields of a record new values.
  Result<ChangeId> try_edit(RecordId record, const google::protobuf::MessageLite& fields, const std::string& reason);
  RecordId animal(const std::string& name);
  RecordId food(const std::string& name);
  RecordId order(RecordId animal);
  // A meal with one portion, offered net, on the day of the device's clock.
  std::pair<RecordId, RecordId> meal(RecordId animal, RecordId food, std::uint32_t slot_min, std::uint64_t offered_mg);
  RecordId dose(RecordId order, std::uint32_t slot_min);
  void strike(RecordId record, const std::string& reason, bool lift = false);
  void fold(RecordId record, RecordId into, const std::string& reason);
  void unfold(RecordId record, const std::string& reason);
  void accept(RecordId record, const std::string& reason);
  Result<ChangeId> try_left(RecordId portion, std::uint64_t left_mg, const std::string& reason, bool settle = false);

  proto::Reply call(proto::Call call);  // Calls as this person; the reply may hold a failure.
  proto::Reply must_call(proto::Call call);
  RecordState load(RecordId record);
  proto::Portion portion(RecordId record);
  proto::ReviewReply review();
  proto::TrailReply trail(RecordId record);
  proto::RecordView view(RecordId record);
  proto::RebuildReply rebuild();

 private:
  Device& device_;
  RecordId person_;
};

// A keeper at work on each of two tablets that have met at the hub, with an animal and a food that both know.
// Parts are bound by name: `auto& [facility, north, south, on_north, on_south, animal, food] = keepers;`
struct TwoKeepers {
  Facility facility;
  Device& north = facility.add_device("north tablet");
  Device& south = facility.add_device("south tablet");
  Shift on_north{north, facility.keeper()};
  Shift on_south{south, facility.keeper()};
  RecordId animal, food;

  TwoKeepers();
};

}  // namespace wrackline
