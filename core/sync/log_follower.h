// Keeps a hub's own database and the log that it shares with other hub processes in step.
//
// Into the log goes, in one batch, what a transaction of this hub's makes known (sealed runs), before that
// transaction is committed here: nothing is answered for that the log does not hold, and when another hub was first the
// transaction is given up. Out of the log comes what the others appended, taken in as a device takes it in from its hub.
// How far the database has followed stands in it, written in the same transactions; so a crash anywhere between the two
// ends in reading on. An empty log gets all that the database holds, and one that was put back gets back what it lacks.
//
// Threads: one at a time. Lifetime: all that it is given outlives it.
#pragma once

#include <functional>
#include <optional>
#include <utility>

#include "base/result.h"
#include "log/version_vector.h"
#include "store/store.h"
#include "sync/device_registry.h"
#include "sync/exchange.h"
#include "sync/shared_log.h"

namespace wrackline {

class LogFollower {
 public:
  // Both work within the Write under way. `seal` seals what this hub has written; after `leave_logs` the hub goes on in logs of
  // which nobody knows.
  LogFollower(Store& store, DeviceRegistry& devices, SharedLog& log, std::function<Status()> seal, std::function<Status()> leave_logs)
      : store_(store), devices_(devices), log_(log), seal_(std::move(seal)), leave_logs_(std::move(leave_logs)) {}

  // Takes in what others have appended, then appends what is here and not in the log. Returns how many changes came.
  // Errors: of SharedLog and the store; kFork when what is in the log contradicts what is held here, which nothing but a
  // person can mend. What was taken in before a failure stays.
  Result<std::uint32_t> catch_up(const ExchangeClock& clock);

  // Appends what the Write under way makes known; to be called before it is committed. Errors: as SharedLog::append; kBusy
  // while it is not known whether the last append was kept.
  Status append_news();

  // Whether the last failure of append_news() was that catch_up() is needed, since another hub was first or an append ended
  // unheard: catch_up(), then the same again.
  bool was_overtaken() const { return was_overtaken_; }
  // Does what SharedLog::take_turn() says.
  void take_turn() { log_.take_turn(); }
  void end_turn() { log_.end_turn(); }
  // Set when the log was found put back, until asked: what it lacks was appended anew.
  bool was_put_back_since_asked() { return std::exchange(went_back_, false); }

 private:
  // How far this database has followed, and what of each log the shared one holds.
  struct Followed {
    SharedEnd end;
    VersionVector held;
  };
  Result<Followed> followed();
  Status set_followed(const Followed& followed);
  // Returns how many changes came; none when there was nothing behind what was followed.
  Result<std::optional<std::uint32_t>> take_page(const ExchangeClock& clock);
  // The last append may have been kept without this database, and another hub may have read it before the shared log was put
  // back. What this hub writes next must not stand where that stood, so it goes on in other logs.
  bool is_unsure(const SharedEnd& followed) const { return is_first_ || (sent_ && *sent_ != followed); }
  Status leave_unsure_logs();
  Status commit_read_batches(Store::Write& write);
  bool lacks_something(const VersionVector& held);

  Store& store_;
  DeviceRegistry& devices_;
  SharedLog& log_;
  std::function<Status()> seal_, leave_logs_;
  bool is_reading_ = false;
  bool is_first_ = true;           // The process before may have ended in the middle of an append.
  std::optional<SharedEnd> sent_;  // Behind the last append, whether it was kept or not.
  bool was_overtaken_ = false;
  bool went_back_ = false;
};

}  // namespace wrackline
