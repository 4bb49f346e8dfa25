// A database that is handed changes one by one, without devices, seals or exchanges: for schedules of arrival that no
// exchange would bring about soon.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "log/change.h"
#include "store/store.h"
#include "support/must.h"

namespace wrackline {

// A change to be, and the log it stands in.
struct BareChange {
  ChangeId id;
  PublicKey device{};
  Bytes bytes;
};

// Puts changes behind the end of a log, within a Write, and projects nothing.
void append_bare(Store& store, LogId id, const PublicKey& device, const std::vector<Bytes>& changes);

// The check by which other changes name it.
std::uint32_t check_of(const BareChange& change);

class BareReplica {
 public:
  BareReplica(const std::string& path, const PublicKey& hub);

  // One transaction: takes in the next `count` changes of a log, as many as there are, of each (log, count) in turn.
  using Portion = std::pair<LogId, std::size_t>;
  // `at_end` is called before the commit.
  void take(const std::map<LogId, std::vector<BareChange>>& world, const std::vector<Portion>& portions,
            const std::function<void()>& at_end = {});
  bool holds_all(const std::map<LogId, std::vector<BareChange>>& world) const;
  // Whether making the projections anew changes them.
  bool is_as_rebuilt();
  Bytes state();
  std::set<ChangeId> held();
  Store& store() { return *store_; }

 private:
  std::unique_ptr<Store> store_;
};

}  // namespace wrackline
