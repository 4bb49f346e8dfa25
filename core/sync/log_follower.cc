#include "sync/log_follower.h"

#include <algorithm>

#include "sync/messages.h"

namespace wrackline {
namespace {

constexpr const char* kFollowed = "shared_log";
constexpr std::size_t kPageBytesWanted = 8 << 20;

Unexpected contradicts(const std::string& what) {
  return fail(ErrorCode::kFork,
              "following the shared log: " + what +
                  "; nothing of that batch was taken in, and the log was left as it is; put these records aside, restore a "
                  "hub from a backup in their place, and import what they hold beyond it from a bundle");
}

}  // namespace

Result<LogFollower::Followed> LogFollower::followed() {
  Followed out;
  WRACKLINE_TRY_VALUE(value, store_.meta(kFollowed));
  if (!value) return out;
  constexpr std::size_t kEndBytes = 8 + sizeof(Hash);
  proto::Vector held;
  if (value->size() < kEndBytes || !copy_exactly(ByteView(*value).substr(8, sizeof(Hash)), out.end.chain) ||
      !held.ParseFromString(value->substr(kEndBytes))) {
    return fail(ErrorCode::kStorage, "following the shared log: how far this database has followed it cannot be read; nothing was changed; "
                                     "restore this hub from a backup");
  }
  out.end.batches = load_le(ByteView(*value).substr(0, 8));
  out.held = take_vector(held);
  return out;
}

Status LogFollower::set_followed(const Followed& followed) {
  Bytes value;
  append_le(value, followed.end.batches, 8);
  value += view(followed.end.chain);
  proto::Vector held;
  put_vector(followed.held, held);
  return store_.set_meta(kFollowed, value + held.SerializeAsString());
}

bool LogFollower::lacks_something(const VersionVector& held) {
  const auto& logs = store_.logs().all();
  return std::any_of(logs.begin(), logs.end(), [&](const auto& each) {
    const auto there = held.find(each.first);
    const VectorPoint point = there == held.end() ? VectorPoint{} : there->second;
    // A change that is not sealed here is this hub's own.
    return each.second.opening && each.second.head.seq > std::max(point.seq, each.second.base());
  });
}

Status LogFollower::append_news() {
  if (is_reading_) return {};
  was_overtaken_ = false;
  WRACKLINE_TRY(seal_());
  WRACKLINE_TRY_VALUE(now, followed());
  WRACKLINE_TRY_VALUE(secrets, store_.hub_secrets().unshared());
  if (!lacks_something(now.held) && secrets.empty()) return {};
  if (is_unsure(now.end)) {
    was_overtaken_ = true;
    return fail(ErrorCode::kBusy, "appending to the shared log: whether the last append was kept is not known; nothing was changed; catch up with it first");
  }
  for (bool is_whole = false, is_first = true; !is_whole; is_first = false) {
    proto::SharedBatch batch;
    batch.set_protocol(kProtocol);
    batch.set_facility(Bytes(view(store_.facility())));
    for (const HubSecret& secret : std::exchange(secrets, {})) {
      proto::SharedSecret& out = *batch.add_secrets();
      out.set_name(secret.name);
      out.set_set_ms(secret.set_ms);
      out.set_value(secret.value);
    }
    std::uint32_t changes = 0;
    WRACKLINE_TRY_VALUE(all, add_lacking(store_, now.held, {}, kExchangeBytesMax, *batch.mutable_segments(), changes));
    is_whole = all;
    for (const proto::Segment& segment : batch.segments()) {
      VectorPoint& point = now.held[LogId{segment.log()}];
      point.seq = std::max(point.seq, segment.first_seq() + segment.count() - 1);
    }
    const Bytes bytes = batch.SerializeAsString();
    const std::optional<SharedEnd> before = std::exchange(sent_, behind(now.end, bytes));
    const Status appended = log_.append(now.end, bytes);
    was_overtaken_ = !appended && appended.error().code == ErrorCode::kBusy;
    if (was_overtaken_ && is_first) sent_ = before;  // Nothing of this Write was kept.
    WRACKLINE_TRY(appended);
    now.end = *sent_;
  }
  WRACKLINE_TRY(store_.hub_secrets().note_shared());
  return set_followed(now);
}

Status LogFollower::leave_unsure_logs() {
  WRACKLINE_TRY_VALUE(now, followed());
  if (is_unsure(now.end)) {
    WRACKLINE_TRY_VALUE(write, store_.begin_write());
    WRACKLINE_TRY(leave_logs_());
    WRACKLINE_TRY(commit_read_batches(write));
  }
  is_first_ = false;
  sent_.reset();
  return {};
}

// Commits without an append: the Write holds what the shared log has already, or no change of a log.
Status LogFollower::commit_read_batches(Store::Write& write) {
  is_reading_ = true;
  const Status committed = write.commit();
  is_reading_ = false;
  return committed;
}

Result<std::optional<std::uint32_t>> LogFollower::take_page(const ExchangeClock& clock) {
  WRACKLINE_TRY_VALUE(now, followed());
  auto page = log_.read(now.end, kPageBytesWanted);
  bool begins_anew = false;
  if (!page && page.error().code == ErrorCode::kFork && now.end.batches > 0) {
    // Put back, by a backup or by a standby that had not heard of the last: begin again, and give it what it lacks.
    begins_anew = went_back_ = true;
    now = {};
    page = log_.read(now.end, kPageBytesWanted);
  }
  WRACKLINE_TRY(page);
  if (page->empty() && !begins_anew) return std::optional<std::uint32_t>();
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  // A database that was made from a backup may have a tail of a log that goes on elsewhere by now. Unsealed in the middle of
  // its log it could never leave here again.
  WRACKLINE_TRY(seal_());
  if (begins_anew) WRACKLINE_TRY(store_.hub_secrets().forget_shared());
  Admission admission(store_, devices_, Source::kFromHub);
  std::uint32_t changes = 0;
  for (const Bytes& bytes : *page) {
    proto::SharedBatch batch;
    if (!batch.ParseFromString(bytes)) return contradicts("batch " + std::to_string(now.end.batches + 1) + " is no message of ours");
    WRACKLINE_TRY(check_facility_and_protocol(store_, batch.facility(), batch.protocol()));
    std::vector<RefusedLog> refused;
    WRACKLINE_TRY_VALUE(admitted, admit_all(admission, devices_, batch.segments(), refused));
    if (!refused.empty()) return contradicts("batch " + std::to_string(now.end.batches + 1) + " cannot be taken in here (" + refused.front().error.message + ")");
    changes += admitted;
    for (const proto::SharedSecret& secret : batch.secrets()) WRACKLINE_TRY(store_.hub_secrets().take({secret.name(), secret.set_ms(), secret.value()}));
    for (const proto::Segment& segment : batch.segments()) {
      VectorPoint& point = now.held[LogId{segment.log()}];
      point.seq = std::max(point.seq, segment.first_seq() + segment.count() - 1);
    }
    now.end = behind(now.end, bytes);
  }
  WRACKLINE_TRY(set_followed(now));
  if (clock.observe && changes > 0) WRACKLINE_TRY(clock.observe(admission.latest_stamp()));
  WRACKLINE_TRY(commit_read_batches(write));
  if (page->empty()) return std::optional<std::uint32_t>();
  return std::optional<std::uint32_t>(changes);
}

Result<std::uint32_t> LogFollower::catch_up(const ExchangeClock& clock) {
  was_overtaken_ = false;
  WRACKLINE_TRY(store_.refresh());
  WRACKLINE_TRY(leave_unsure_logs());
  std::uint32_t changes = 0;
  for (;;) {
    WRACKLINE_TRY_VALUE(taken, take_page(clock));
    if (taken) {
      changes += *taken;
      continue;
    }
    WRACKLINE_TRY_VALUE(now, followed());
    WRACKLINE_TRY_VALUE(secrets, store_.hub_secrets().unshared());
    if (!lacks_something(now.held) && secrets.empty()) return changes;
    WRACKLINE_TRY_VALUE(write, store_.begin_write());
    const Status appended = append_news();
    if (!appended && was_overtaken_) continue;
    WRACKLINE_TRY(appended);
    WRACKLINE_TRY(write.commit());
    return changes;
  }
}

}  // namespace wrackline
