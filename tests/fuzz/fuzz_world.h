// The facility that targets are run against: the same on every run, so that inputs that are kept in files go on meaning what
// they meant. A hub, a tablet in the north and one in the south, each with something the others have not heard of.
//
// It is made once for a process. Each target takes a copy of one replica, and gives it back as it was or says it is spoilt.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "crypto/sha256.h"
#include "support/facility.h"
#include "support/made_log.h"

namespace wrackline::fuzz {

enum class Role { kHub, kNorth, kSouth };

// Tells by its contents whether a replica has kept something.
struct Standing {
  std::string digest;  // The hash of the folded state.
  std::map<LogId, LogHead> heads;
  bool operator==(const Standing& other) const;
};
Standing standing_of(Replica& replica);

class World {
 public:
  static World& get();

  // The replica as it was made, unless it was used and not spoilt: then as it was left, which is the same by the targets'
  // oracles. Valid until the next use of this role.
  Replica& use(Role role);
  // Its next use begins with a fresh copy.
  void spoil(Role role) { live_[static_cast<std::size_t>(role)].is_spoilt = true; }
  const Standing& standing(Role role) const { return live_[static_cast<std::size_t>(role)].standing; }

  Keystore& keystore(Role role) { return *live_[static_cast<std::size_t>(role)].keystore; }
  // Null for a key that is none of theirs.
  Keystore* keystore_of(ByteView key);
  LogId log(Role role) const { return live_[static_cast<std::size_t>(role)].log; }
  const FacilityId& facility() const { return facility_id_; }
  RecordId keeper() const { return keeper_; }
  // An honest log behind `seq`; null where there is none.
  const MadeLog* made_at(LogId log, Seq seq) const;

  // Honest bytes of all kinds.
  const std::vector<Bytes>& sample_changes() const { return changes_; }
  const std::vector<Bytes>& north_requests() const { return north_requests_; }
  const std::vector<Bytes>& south_requests() const { return south_requests_; }
  // The hub's answers to north, when it has south's changes already.
  const std::vector<Bytes>& replies_to_north() const { return replies_; }
  const std::vector<Bytes>& bundles() const { return bundles_; }
  RecordId animal() const { return animal_; }
  RecordId portion() const { return portion_; }
  RecordId order() const { return order_; }

 private:
  struct Live {
    std::string path;
    Bytes image;
    std::unique_ptr<SeededKeystore> keystore;
    std::unique_ptr<Replica> replica;
    Standing standing;
    LogId log;
    bool is_spoilt = true;
  };
  World();
  Replica::Options options(Live& live) const;

  ScratchFolder folder_;
  FacilityId facility_id_{};
  RecordId keeper_, animal_, portion_, order_;
  Live live_[3];
  std::map<LogId, std::vector<MadeLog>> made_;
  std::vector<Bytes> changes_, north_requests_, south_requests_, replies_, bundles_;
};

}  // namespace wrackline::fuzz
