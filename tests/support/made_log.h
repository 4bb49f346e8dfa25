// Logs made by hand and sealed with a key that the test holds: what an enrolled device may send, and what a liar would.
#pragma once

#include <exchange.pb.h>

#include <map>
#include <vector>

#include "log/change_run.h"
#include "log/leaf.h"
#include "log/seal.h"
#include "store/log_table.h"

namespace wrackline {

// A place in a log, from which it is to go on.
struct MadeLog {
  FacilityId facility{};
  LogId id;
  LogId sealed_as;
  LogOpening opening;
  Frontier tree;
  std::map<std::uint32_t, BlockSeed> seeds;  // The seeds of blocks that are begun; others get made_seed().

  Seq last() const { return static_cast<Seq>(tree.size()); }
};

BlockSeed made_seed(std::uint32_t block);
// A log that has nothing yet, with the id that belongs to the key. Another `number` makes another log.
MadeLog made_log(const FacilityId& facility, const PublicKey& device, std::uint64_t number, LogClass log_class = LogClass::kMixed);
// Where a log stands behind `seq`, as `logs` hold it.
MadeLog made_behind(const FacilityId& facility, LogTable& logs, const LogEntry& log, Seq seq);

// The changes as the next run of the log, which moves on; sealed at its end by `signer`, whosever log it is.
proto::Segment made_segment(MadeLog& log, Keystore& signer, const ChangeRun& changes, bool as_columns = false);
proto::Segment made_segment(MadeLog& log, Keystore& signer, const std::vector<Bytes>& changes);
// A bundle of them, whoever may have written it.
Bytes made_bundle(const FacilityId& facility, const std::vector<proto::Segment>& segments);
// The opening and the seal of a segment, as messages.
proto::Opening made_opening(const LogOpening& opening);
proto::Sealing made_sealing(const MadeLog& log, Keystore& signer);

}  // namespace wrackline
