// An enrolled device that chains and seals as it should, and lies in all that it says, as somebody could who has taken its key.
// It has no records of its own, and knows all that the hub knows.
#pragma once

#include <map>
#include <memory>
#include <vector>

#include "simulation/world.h"
#include "support/made_log.h"

namespace wrackline {

class Liar {
 public:
  // Lets it in at the hub.
  Liar(World& world, Random& random);
  // Sends one message with a lie or several, to the hub or, as a bundle, to a site.
  void act();
  PublicKey key() const { return keystore_->public_key(); }

 private:
  // A change as it sees it at the hub.
  struct Seen {
    ChangeId id;
    std::uint32_t check = 0;
    RecordId record;
    std::uint32_t kind = 0;  // The kind of a birth.
  };
  std::vector<Seen> look();
  Stamp stamp();
  RecordId author(const std::vector<Seen>& seen);
  Bytes birth(const std::vector<Seen>& seen);
  Bytes edit(const std::vector<Seen>& seen);
  Bytes fields(const std::vector<Seen>& seen);
  proto::Segment segment(const std::vector<Seen>& seen);
  void seal_over_other_arrivals(const MadeLog& log, proto::Segment& segment);
  void send_to_hub(const std::vector<proto::Segment>& segments);
  void send_as_bundle(Site& to, const std::vector<proto::Segment>& segments);

  World& world_;
  Random& random_;
  std::shared_ptr<SeededKeystore> keystore_;
  FacilityId facility_{};
  std::vector<MadeLog> ends_;      // The ends of its logs and of their branches.
  std::vector<MadeLog> earlier_;   // Places in them from which it may go on differently.
  std::uint64_t opened_ = 0;
};

}  // namespace wrackline
