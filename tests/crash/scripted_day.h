// A day at a tablet, the same each time, for tests that make its disk or the hub's fail somewhere in it: entries, an edit,
// a seal, an exchange, a bundle, the close of the day, a restart, an exchange again.
//
// It keeps what the calls have acknowledged, by log, and can tell afterwards whether all of that is there.
#pragma once

#include <call.pb.h>

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "replica/fence.h"
#include "support/facility.h"

namespace wrackline {

// A fence like that of a real device, beside the database and not part of what a failing disk loses.
class MemoryFence : public Fence {
 public:
  std::optional<FencePoint> read() override { return point_; }
  bool write(const FencePoint& point) override {
    point_ = point;
    return true;
  }
  void forget() { point_.reset(); }

 private:
  std::optional<FencePoint> point_;
};

class ScriptedDay {
 public:
  explicit ScriptedDay(const std::string& parent);

  enum class Side { kTablet, kHub };
  Device& device(Side side) { return side == Side::kTablet ? tablet_ : facility_.hub(); }
  // Both databases as they were in the morning, closed.
  void begin();
  // Runs the steps, whatever fails. `is_over` is asked after each, with its number.
  void run(const std::function<bool(std::size_t)>& is_over);
  // The first step that closes the database, which is when SQLite empties the write-ahead log.
  static constexpr std::size_t kFirstClose = 8;
  int failed_steps() const { return failed_; }
  void close_all();

  using Heads = std::map<LogId, Seq>;
  struct Acknowledged {
    Heads at_tablet, at_hub;
  };
  const Acknowledged& acknowledged() const { return acknowledged_; }
  // Before the last step that was run.
  const Acknowledged& acknowledged_before() const { return before_; }

  // With a whole disk again: both databases open, hold what was acknowledged, verify, are what a rebuild gives, take a new
  // entry and converge. The first thing that is not so, in words; empty when all is well.
  std::string find_trouble(const Acknowledged& expected);

 private:
  using Step = std::function<Status()>;
  Status open_both();
  Result<proto::Reply> ask(Device& device, proto::Call call);
  Status must_confirm(proto::Call call);
  Status log_meal(std::uint32_t slot_min);
  Status exchange();
  Status import();
  void note();
  std::string check(Device& device, const Heads& expected);

  Facility facility_;
  Device& tablet_;
  MemoryFence fence_;
  RecordId animal_, food_, order_, portion_, spare_;
  std::string morning_tablet_, morning_hub_;
  Bytes bundle_;
  LogId colleague_;
  Seq colleague_head_ = 0;
  std::vector<Step> steps_;
  Acknowledged acknowledged_, before_;
  int failed_ = 0;
};

}  // namespace wrackline
