// Between the structs of the core and the messages of proto/exchange.proto. Only sync/*.cc include this: it
// is the one header that shows generated messages.
#pragma once

#include <exchange.pb.h>

#include <functional>
#include <vector>

#include "base/result.h"
#include "store/store.h"
#include "sync/admission.h"
#include "sync/exchange.h"

namespace wrackline {

void put_vector(const VersionVector& vector, proto::Vector& out);
VersionVector take_vector(const proto::Vector& message);

// A segment in a message names a log and carries a seed at least.
inline constexpr std::size_t kSegmentBytesMin = 32;

void put_opening(const LogOpening& opening, const Frontier& start, proto::Opening& out);
void put_seal(const LogSeal& seal, proto::Sealing& out);
// `start`: where the other side will hold the log from; null when it holds some of it already.
void put_runs(const LogEntry& log, const OutgoingRuns& runs, const Frontier* start, google::protobuf::RepeatedPtrField<proto::Segment>& out);
// The log whose runs stand in `segments` from `at` on; `at` moves behind them. False when a key, nonce, hash or signature has
// not its size, or nothing says whose it is or seals it. Borrows from `segments`.
bool take_log(const google::protobuf::RepeatedPtrField<proto::Segment>& segments, int& at, IncomingLog& out);

// Checks the head of a message that both directions and bundles carry.
Status check_facility_and_protocol(const Store& store, const std::string& facility, std::uint32_t protocol);

// Admits segments in an order that lets each be understood: the hub's logs first, since they name the devices, and the
// hub's next key.
// A log that fails is named in `refused` and left alone from there on; the others go on, until kRefusalsMax have failed:
// each has cost a look at a seal and costs room in an answer; or until `is_over` says so, with one log looked at at least. A log
// that is not looked at comes again, since it is lacking still.
inline constexpr std::size_t kRefusalsMax = 1024;
Result<std::uint32_t> admit_all(Admission& admission, const DeviceRegistry& devices,
                                const google::protobuf::RepeatedPtrField<proto::Segment>& segments,
                                std::vector<RefusedLog>& refused, const std::function<bool()>& is_over = {});

// Says of each device that has seen other arrivals at the hub than are held here; nothing was refused for it.
void tell_contradictions(const Admission& admission, std::vector<RefusedLog>& out);

// Adds sealed runs that `theirs` lacks to `out`, the hub's logs first and each with its share, since a replica needs one
// to understand the next, until about `bytes_wanted` are in.
// `skip` are logs not to be sent. Returns whether all of it fitted.
Result<bool> add_lacking(Store& store, const VersionVector& theirs, const std::vector<RefusedLog>& skip,
                         std::size_t bytes_wanted, google::protobuf::RepeatedPtrField<proto::Segment>& out, std::uint32_t& changes);

// A log of arrivals is sent to who holds nothing of it from about this many changes before its end on.
inline constexpr Seq kArrivalsSent = 1024;

// Compares heads both ways: logs where what they hold is not a part of what is held here.
Status find_forks(Store& store, const VersionVector& theirs, std::vector<RefusedLog>& forks);

}  // namespace wrackline
