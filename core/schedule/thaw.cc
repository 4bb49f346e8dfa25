#include "schedule/thaw.h"

namespace wrackline {
namespace {

Unexpected cannot_reckon(const char* why) {
  return fail(ErrorCode::kInvalid, std::string("judging a thaw batch: ") + why);
}

}  // namespace

Result<ThawStanding> thaw_standing(const ThawBatch& batch, const ThawLimits& limits, WallMs now_ms) {
  if (limits.since_freezer_min == 0 || limits.since_thawed_min == 0)
    return cannot_reckon("a limit of 0 minutes lets nothing be fed; enter the site's limit");
  if (batch.out_of_freezer_ms > now_ms || (batch.thawed_ms && *batch.thawed_ms > now_ms))
    return cannot_reckon(
        "it left the freezer or was thawed later than now; check the times and this device's clock");
  if (batch.thawed_ms && *batch.thawed_ms < batch.out_of_freezer_ms)
    return cannot_reckon("it was thawed before it left the freezer; check the two times");

  ThawStanding out;
  out.clock = batch.method == ThawMethod::kRefrigeration ? ThawClock::kSinceThawed : ThawClock::kSinceFreezer;
  if (out.clock == ThawClock::kSinceThawed && !batch.thawed_ms) {
    out.state = ThawState::kNotRunning;
    return out;
  }
  const bool by_thawed = out.clock == ThawClock::kSinceThawed;
  const WallMs begun_ms = by_thawed ? *batch.thawed_ms : batch.out_of_freezer_ms;
  const WallMs limit_ms = WallMs{by_thawed ? limits.since_thawed_min : limits.since_freezer_min} * 60'000;
  out.usable_until_ms = begun_ms + limit_ms;
  out.state = now_ms - begun_ms <= limit_ms ? ThawState::kUsable : ThawState::kPastLimit;
  return out;
}

}  // namespace wrackline
