// The hub's word in an evidence file: which keys are its own, which devices it enrolled, and when it came to hold a change.
#pragma once

#include <map>

#include "evidence_check.h"
#include "store/hub_lineage.h"

namespace wrackline::evidence {

// Roots that the file shows of a log, by size: of the sealed tree, and of those it goes on from.
using KnownRoots = std::map<LogId, std::map<Seq, Hash>>;

// The hub's keys, by the one that is known and what stands proven in the file; that one alone when it names more than can be
// followed.
HubLineage hub_lineage(const File& file, const PublicKey& known_key, const Verdict& verdict);
// A file for another hub, or with more keys than can be followed.
void check_hub_keys(const File& file, const HubLineage& hub, Verdict& verdict);
// Fills in `hub_reach`, `devices`, `held`, `arrivals` and `vouched`.
void hear_hub(const File& file, const HubLineage& hub, const KnownRoots& roots, Verdict& verdict);
// Logs of devices that the hub has not enrolled, and what speaks in its name and is not its word.
void check_owners(const File& file, const HubLineage& hub, Verdict& verdict);

}  // namespace wrackline::evidence
