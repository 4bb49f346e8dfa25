// The core as an app sees it: open it, call it, let it go. Every shim is thin over this class.
//
// Threads: one at a time; several cores on several databases may run side by side.
#pragma once

#include <memory>

#include "base/bytes.h"
#include "replica/replica.h"

namespace wrackline {

class Core {
 public:
  // Errors as Replica::create and Replica::open.
  static Result<std::unique_ptr<Core>> create(Replica::Options options, const Membership& membership);
  static Result<std::unique_ptr<Core>> open(Replica::Options options);

  // A serialised Call in, a serialised Reply out. `call` is read during the call only; the reply is the
  // caller's. A reply to a writing call means its changes are durable.
  Bytes call(ByteView call) noexcept;

  const Membership& membership() const { return replica_->membership(); }
  // Keys are the platform's, so what concerns them is no call; see replica/replica.h.
  Status change_key(Keystore& next) { return replica_->change_key(next); }
  Status repin(const PublicKey& hub_key) { return replica_->repin(hub_key); }
  bool is_hub_key(const PublicKey& key) const { return replica_->devices().hub().is_key(key); }

 private:
  explicit Core(std::unique_ptr<Replica> replica) : replica_(std::move(replica)) {}
  std::unique_ptr<Replica> replica_;
};

}  // namespace wrackline
