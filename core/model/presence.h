// This file says what a record of kind `presence` says, and which changes it proves (proto/roster.proto; sync/presences.h tells of the rest). Pure.
#pragma once

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline {

struct PresenceSpan {
  RecordId person, device;
  WallMs from = 0, until = 0;  // Times of the hub's clock.
  Bytes pin_mark;
};

// Reads the span from a record's fields, or from its brief, which has neither person nor device; what is
// missing is none.
PresenceSpan presence_span(ByteView fields);

// A device that has heard of its presence stamps behind it; until it has, its clock may be behind by so much.
inline constexpr WallMs kPresenceGraceMs = 2 * kMinuteMs;

// Whether a change with this stamp is within it, that the hub came to hold at `arrived`. One that comes long after the presence has ended is
// proven by nothing: whoever has found the tablet by then may have given it its stamp.
bool covers(const PresenceSpan& span, WallMs stamped, WallMs arrived);

}  // namespace wrackline
