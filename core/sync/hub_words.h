// This file says what the hub has written of a person at a device: records of one kind, whose key is the person and the device.
//
// Threads: one at a time. Lifetime: the store and the devices outlive it.
#pragma once

#include <map>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "model/kinds.h"
#include "store/store.h"
#include "sync/device_registry.h"

namespace wrackline {

class HubWords {
 public:
  HubWords(Store& store, DeviceRegistry& devices, Kind kind) : store_(store), devices_(devices), kind_(kind) {}

  struct Row {
    RecordId record, device;
    Bytes brief;  // The fields that KindRow::brief names.
  };
  // The words in account that stand in a log of the hub's. Good until the records change. Errors: of the
  // store.
  Result<const std::vector<Row>*> of(RecordId person);

 private:
  Store& store_;
  DeviceRegistry& devices_;
  Kind kind_;
  std::map<RecordId, std::vector<Row>> people_;
  std::uint64_t read_at_ = ~0ull;  // Projection::changes_of() then.
};

}  // namespace wrackline
