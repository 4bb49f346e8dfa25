// How one due thing of a round stands now, as far as this replica can know.
//
// The first row that holds, from the top:
//
//   state          when
//   done           an entry for it is known here, from whichever device
//   upcoming       now is before the window: now < due - before
//   due            now is in the window: now <= due + after
//   not known here the window is over, and what this replica knows of others ends before the due instant:
//                  somebody may well have done it
//   missed         the next one has begun or the day is over: now >= ends
//   late           otherwise
//
// In the window a thing is due even on a tablet that has been out of reach for a day: there is work to look
// at. It then says that somebody else may have done it already, which for a dose must stand beside it.
// Nothing here says that it should be done: late and missed doses are for the vet to decide.
#pragma once

#include <cstdint>
#include <optional>

#include "base/ids.h"

namespace wrackline {

enum class RoundState { kUpcoming, kDue, kLate, kMissed, kDone, kNotKnownHere };

struct DueThing {
  WallMs due_ms = 0;
  std::uint32_t before_min = 0;  // The window's reach before the due instant
  std::uint32_t after_min = 0;   // and after it, included
  WallMs ends_ms = 0;            // When the next one begins or the husbandry day is over, whichever is first
  bool recorded = false;         // An entry for it is known here
};

struct RoundStanding {
  RoundState state = RoundState::kUpcoming;
  // With kDue: what is known of others ends before the window began.
  bool may_be_done_elsewhere = false;
};

// `knowledge_as_of_ms`: up to when this replica knows what others recorded (the last full exchange; on the
// hub, now). Absent = it never exchanged. Late and missed are said as of that instant: show it with them.
RoundStanding round_standing(const DueThing& thing, std::optional<WallMs> knowledge_as_of_ms, WallMs now_ms);

}  // namespace wrackline
