// A device of the centre: its records, its key, and a clock that says what the story says. And its hub.
#pragma once

#include <call.pb.h>
#include <records.pb.h>

#include <memory>
#include <string>
#include <vector>

#include "call/core.h"
#include "model/kinds.h"
#include "replica/replica.h"

namespace wrackline::demo {

// Makes a key that follows from seed and name, and opens it. Errors: kKeystore, kStorage and its kin.
Result<std::unique_ptr<Keystore>> seeded_key(const std::string& path, std::uint64_t seed,
                                             const std::string& name);
std::function<Result<Bytes>(std::size_t)> seeded_random(std::uint64_t seed, const std::string& name);

// Records to be logged in one call.
class Batch {
 public:
  // Returns its index in the call, for links.
  std::uint32_t add(Kind kind, const google::protobuf::MessageLite& message, const std::string& reason = {});
  // Makes a field of the record added last name an earlier record of this batch.
  void link(int field, std::uint32_t record);
  bool empty() const { return call_.log().records_size() == 0; }
  proto::Call& call() { return call_; }

 private:
  proto::Call call_;
};

struct HubSide {
  std::unique_ptr<Keystore> keystore;
  std::shared_ptr<WallMs> clock;
  std::unique_ptr<Replica> replica;
};

class Device {
 public:
  // Enrols it at the hub and makes its directory.
  static Result<std::unique_ptr<Device>> make(const std::string& directory, const std::string& name,
                                              std::uint64_t seed, HubSide& hub, const Membership& membership);

  // Stands until it is set anew, but for the seconds that writing takes.
  void set_clock(WallMs now) { *clock_ = now; }
  Result<std::vector<proto::RecordRef>> log(const proto::RecordRef& author, Batch batch);
  Status edit(const proto::RecordRef& author, const proto::RecordRef& record,
              const google::protobuf::MessageLite& fields, const std::string& reason, bool settle = false);
  Status strike(const proto::RecordRef& author, const proto::RecordRef& record, const std::string& reason);
  Status fold(const proto::RecordRef& author, const proto::RecordRef& record, const proto::RecordRef& into,
              const std::string& reason);
  Status exchange(HubSide& hub);
  Result<proto::Reply> call(const proto::Call& call);

 private:
  std::unique_ptr<Keystore> keystore_;
  std::shared_ptr<WallMs> clock_;
  std::unique_ptr<Core> core_;
};

}  // namespace wrackline::demo
