// Between the structs of the core and the messages of proto/exchange.proto. Only sync/*.cc include this: it
// is the one header that shows generated messages.
#pragma once

#include <exchange.pb.h>

#include <vector>

#include "base/result.h"
#include "store/store.h"
#include "sync/admission.h"
#include "sync/exchange.h"

namespace wrackline {

void put_vector(const VersionVector& vector, proto::Vector& out);
VersionVector take_vector(const proto::Vector& message);

void put_segment(const LogEntry& log, const SealedRun& run, proto::Segment& out);
// False when a key or seal has not its size. Borrows from `message`.
bool take_segment(const proto::Segment& message, IncomingSegment& out);

void put_receipt(LogId log, const Receipt& receipt, proto::Receipt& out);

// Checks a receipt's signature by a key of the hub and that it speaks of the changes held here, and keeps it. False
// when it does not fit; that is no failure, since the next exchange brings receipts again.
Result<bool> keep_receipt(Store& store, const proto::Receipt& message);

// Checks the head of a message that both directions and bundles carry.
Status check_facility_and_protocol(const Store& store, const std::string& facility, std::uint32_t protocol);

// Admits segments in an order that lets each be understood: the hub's logs first, since they name the devices, and the
// hub's next key.
// A log that fails is named in `refused` and left alone from there on; the others go on.
Result<std::uint32_t> admit_all(Admission& admission, const DeviceRegistry& devices,
                                const google::protobuf::RepeatedPtrField<proto::Segment>& segments,
                                std::vector<RefusedLog>& refused);

// Adds sealed runs that `theirs` lacks to `out`, the hub's logs first and each with its share, since a replica needs one
// to understand the next, until about `bytes_wanted` are in.
// `skip` are logs not to be sent. Returns whether all of it fitted.
Result<bool> add_lacking(Store& store, const VersionVector& theirs, const std::vector<RefusedLog>& skip,
                         std::size_t bytes_wanted, google::protobuf::RepeatedPtrField<proto::Segment>& out, std::uint32_t& changes);

// Compares heads both ways: logs where what they hold is not a part of what is held here.
Status find_forks(Store& store, const VersionVector& theirs, std::vector<RefusedLog>& forks);

}  // namespace wrackline
