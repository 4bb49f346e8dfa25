// Two replicas bring each other to the same set of changes: request and answer, as bytes (proto/exchange.proto).
//
// Nothing here does I/O: requests come out as bytes and replies go in as bytes, whatever carries them. Every
// message may be lost or come twice: the next exchange begins with both vectors again and sends what is still
// lacking. No memory of what was sent before is trusted; the hub's last known vector is only a hint that saves
// a round trip.
//
// Threads: one at a time. Lifetime: store and devices outlive the exchange.
#pragma once

#include <functional>
#include <map>
#include <vector>

#include "base/bytes.h"
#include "base/result.h"
#include "log/version_vector.h"
#include "store/store.h"
#include "sync/admission.h"
#include "sync/device_registry.h"

namespace wrackline {

inline constexpr std::uint32_t kProtocol = 1;
// What a side fills into one message; a message may pass it by one run.
inline constexpr std::size_t kExchangeBytesWanted = 1 << 20;
// What a side reads at most.
inline constexpr std::size_t kExchangeBytesMax = 4 << 20;

// A log that was not taken in while the rest was.
struct RefusedLog {
  LogId log;
  Seq seq = 0;
  Error error;
};

// What both sides need besides the store: the clock to compare with, and one to move.
struct ExchangeClock {
  WallMs now = 0;
  std::function<void(Stamp)> observe;  // Called with the latest stamp taken in; may be empty.
};

namespace proto {
class ExchangeRequest;
class ExchangeReply;
}

// The asker's side: one instance an exchange.
class Exchange {
 public:
  Exchange(Store& store, DeviceRegistry& devices) : store_(store), devices_(devices) {}

  // The first request. The caller has sealed the own log before. Errors: kStorage and its kin.
  Result<Bytes> begin();

  // Takes in a reply. Returns the next request, or empty when both sides hold the same (but for what was
  // refused). Errors: kMalformed, kTooLarge, kWrongFacility, kUnsupported: nothing of the reply was kept.
  Result<Bytes> receive(ByteView reply, const ExchangeClock& clock);

  std::uint32_t sent() const { return sent_; }
  std::uint32_t received() const { return received_; }
  const std::vector<RefusedLog>& refused() const { return refused_; }
  WallMs hub_now_ms() const { return hub_now_ms_; }

 private:
  Result<Bytes> request(const VersionVector& theirs, bool& sends_any);
  // Of a log that the hub holds another branch of: all of it from the first change on, so that the hub can tell where
  // the two part.
  Status offer_branches(proto::ExchangeRequest& message);
  void note_refused(RefusedLog refused);
  void check_hub_key(const proto::ExchangeReply& reply);
  Store& store_;
  DeviceRegistry& devices_;
  std::uint32_t sent_ = 0;
  std::uint32_t received_ = 0;
  WallMs hub_now_ms_ = 0;
  std::vector<RefusedLog> refused_;
  std::map<LogId, Seq> offered_;  // Of forked logs, up to where they were sent.
  Bytes last_round_;  // Both vectors after the last reply: a round that moves neither ends the exchange.
};

// What only the hub can do, while it answers.
class HubHand : public HoldWriter {
 public:
  virtual PublicKey key() const = 0;                  // That it signs and seals with.
  virtual Result<Signature> sign(ByteView text) = 0;  // Of receipts.
  virtual Status seal() = 0;                          // Of what was written into the hub's own log.
  // Nothing could be taken in, for this reason; the answer says so and goes on with what the asker lacks.
  virtual void note_trouble(const Error& error) = 0;
};

// The hub's side: one call a request. A full disk keeps it from taking in, not from answering: the logs that came are
// refused with kDiskFull, and nothing of them is kept. Errors: as Exchange::receive.
Result<Bytes> answer_exchange(Store& store, DeviceRegistry& devices, ByteView request, const ExchangeClock& clock,
                              HubHand& hub);

// Eight bytes that change when the one of whom the vector tells comes to hold more.
Bytes news_mark(const VersionVector& vector);
// Asks the hub for news (proto/exchange.proto) of what it has come to hold since the last exchange here.
Result<Bytes> news_request(Store& store);

// What this replica holds, with receipts.
VersionVector vector_of(Store& store);

}  // namespace wrackline
