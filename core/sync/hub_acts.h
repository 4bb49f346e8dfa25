// This file finds the changes in the hub's own logs that somebody asked for, and the device they asked from.
//
// An act that needs the hub (model/authority.h) is written by it, in the name of whoever asked with their PIN. A record of
// kind 37 beside it, which the hub writes in the same transaction, says from which device they asked.
//
// Threads: one at a time. Lifetime: the store and the devices outlive it.
#pragma once

#include "base/ids.h"
#include "base/result.h"
#include "sync/hub_words.h"

namespace wrackline {

class HubActs {
 public:
  HubActs(Store& store, DeviceRegistry& devices) : words_(store, devices, Kind::kHubAct) {}

  // The record of the device from which the author asked for this change; none when nobody did.
  Result<RecordId> asked_from(ChangeId change, RecordId author);

  // The fields of the record about changes that stand one after the other in one log.
  struct Span {
    RecordId device;
    LogId log;
    Seq first = 0, last = 0;
  };
  static Bytes fields(RecordId person, const Span& span, WallMs at);

 private:
  HubWords words_;
};

}  // namespace wrackline
