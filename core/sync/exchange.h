// Two replicas bring each other to the same set of changes: request and answer, as bytes (proto/exchange.proto).
//
// Nothing here does I/O: requests come out as bytes and replies go in as bytes, whatever carries them. Every
// message may be lost or come twice: the next exchange begins with both vectors again and sends what is still
// lacking. No memory of what was sent before is trusted; the hub's last known vector is only a hint that saves
// a round trip, and a base on which both sides say the rest (sync/told_vectors.h).
//
// Threads: one at a time. Lifetime: store and devices outlive the exchange.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <vector>

#include "base/bytes.h"
#include "base/result.h"
#include "log/version_vector.h"
#include "store/store.h"
#include "sync/admission.h"
#include "sync/device_registry.h"
#include "sync/refused_log.h"
#include "sync/told_vectors.h"

namespace wrackline {

inline constexpr std::uint32_t kProtocol = 2;
// A side fills so much into one message; a message may pass it by one run.
inline constexpr std::size_t kExchangeBytesWanted = 1 << 20;
// A side reads so much at most.
inline constexpr std::size_t kExchangeBytesMax = 4 << 20;

// Both sides need clocks besides the store: the clock to compare with, and one to move.
struct ExchangeClock {
  WallMs now = 0;
  // Called with the latest stamp taken in, in the Write that keeps what came; may be empty.
  std::function<Status(Stamp)> observe;
  // At the hub: whether the time that the request may take is over. No other log is looked at then; what is left comes with the
  // next request, since it is lacking still. May be empty.
  std::function<bool()> is_over = {};
};

namespace proto {
class ExchangeRequest;
class ExchangeReply;
class Vector;
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
  // The key that the hub seals with, when nothing that came here hands the hub's word on to it: a person compares it with what an
  // admin reads from the hub, and then pins it (Replica::repin).
  const std::optional<PublicKey>& unknown_hub_key() const { return unknown_hub_key_; }

 private:
  Result<Bytes> request(const VersionVector& lacking_there, bool& sends_any);
  void hear_vector(const proto::Vector& vector);
  // Offers a log that the hub holds another branch of: all of it from the first change on, so that the hub can tell
  // where the two part.
  Status offer_branches(proto::ExchangeRequest& message);
  void note_refused(RefusedLog refused);
  void check_hub_key(const proto::ExchangeReply& reply);
  Store& store_;
  DeviceRegistry& devices_;
  std::uint32_t sent_ = 0;
  std::uint32_t sent_at_last_ = 0;  // With the last request.
  std::uint32_t received_ = 0;
  WallMs hub_now_ms_ = 0;
  std::optional<PublicKey> unknown_hub_key_;
  std::vector<RefusedLog> refused_;
  VersionVector theirs_;       // The vector that the hub holds, as it said last; none: it was never heard.
  ToldVectors heard_;          // The vectors that it told in this exchange and before it.
  bool is_base_known_ = true;  // Whether the hub remembers that, as far as is known.
  Bytes named_;                // The mark that stands in the last request.
  std::map<LogId, Seq> offered_;  // How far each forked log was sent.
  Bytes last_round_;  // Both vectors after the last reply: a round that moves neither ends the exchange.
};

// This does what only the hub can do, while it answers.
class HubHand : public HoldWriter {
 public:
  virtual PublicKey key() const = 0;  // The key that the hub seals with.
  // Within the Write under way: writes down in the hub's log of arrivals what came, and seals all that the hub has written.
  virtual Status note_arrivals() = 0;
  // Within a Write, before anything is taken in: whether somebody knows a log that the hub writes further than the hub itself,
  // since its database was put back. The hub then goes on in others, and gets back what it lacks.
  virtual Result<bool> leave_logs_known_further(const VersionVector& theirs) = 0;
  // Nothing could be taken in, for this reason; the answer says so and goes on with what the asker lacks.
  virtual void note_trouble(const Error& error) = 0;
};

// The hub's side: one call a request. A full disk keeps it from taking in, not from answering: the logs that came are
// refused with kDiskFull, and nothing of them is kept. Nothing is taken in either when the request builds on a vector that
// `told` does not know; the answer then has the whole vector, and asks for the device's. Errors: as Exchange::receive.
Result<Bytes> answer_exchange(Store& store, DeviceRegistry& devices, ByteView request, const ExchangeClock& clock,
                              ToldVectors& told, HubHand& hub);

// Asks the hub for news (proto/exchange.proto) of what it has come to hold since the last exchange here.
Result<Bytes> news_request(Store& store);

// The vector of what this replica holds.
VersionVector vector_of(Store& store);

}  // namespace wrackline
