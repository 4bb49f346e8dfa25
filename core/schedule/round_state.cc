#include "schedule/round_state.h"

namespace wrackline {

RoundStanding round_standing(const DueThing& thing, std::optional<WallMs> knowledge_as_of_ms, WallMs now_ms) {
  const WallMs before_ms = WallMs{thing.before_min} * 60'000;
  const WallMs after_ms = WallMs{thing.after_min} * 60'000;
  const WallMs opens_ms = thing.due_ms > before_ms ? thing.due_ms - before_ms : 0;

  if (thing.recorded) return {RoundState::kDone, false};
  if (now_ms < opens_ms) return {RoundState::kUpcoming, false};
  // Compared by differences: a due instant from outside may be as large as it likes.
  const bool in_window = now_ms <= thing.due_ms || now_ms - thing.due_ms <= after_ms;
  if (in_window) return {RoundState::kDue, !knowledge_as_of_ms || *knowledge_as_of_ms < opens_ms};
  if (!knowledge_as_of_ms || *knowledge_as_of_ms < thing.due_ms) return {RoundState::kNotKnownHere, false};
  if (now_ms >= thing.ends_ms) return {RoundState::kMissed, false};
  return {RoundState::kLate, false};
}

}  // namespace wrackline
