#include "fuzz_oracles.h"

#include <call.pb.h>

#include "support/sound.h"

namespace wrackline::fuzz {

void insist_untouched(Replica& replica, Role role, const std::string& doing) {
  insist(standing_of(replica) == World::get().standing(role), doing + " failed and left something behind");
}

bool insist_sound(Replica& replica, Role role, const std::string& doing) {
  World& world = World::get();
  const Standing before = world.standing(role);
  if (standing_of(replica) == before) return false;
  world.spoil(role);
  insist_whole(replica, before, doing);
  return true;
}

void insist_whole(Replica& replica, const Standing& before, const std::string& doing) {
  const Standing now = standing_of(replica);
  for (const auto& [id, head] : before.heads) {
    const LogEntry* log = replica.store().logs().find(id);
    insist(log != nullptr && log->head.seq >= head.seq, doing + " lost the end of a log");
    const auto tree = replica.store().logs().tree_at(*log, head.seq);
    insist(tree.has_value() && tree->root() == head.root, doing + " put other changes in the place of those that were held");
  }
  // A message that was cut short can bring the hub's word of changes without the changes; and a device that seals others in
  // their place is told by that word.
  const std::string unsound = find_unsound(replica, {proto::FAULT_MISSING, proto::FAULT_ARRIVAL});
  insist(unsound.empty(), "after " + doing + ": " + unsound);
  insist(standing_of(replica) == now, "a rebuild after " + doing + " gave another state");
}

void insist_holds_all_of(Replica& replica, LogId log, const std::string& doing) {
  const World& world = World::get();
  const LogEntry* held = replica.store().logs().find(log);
  insist(held != nullptr, doing + ": another log did not go on");
  const MadeLog* honest = world.made_at(log, held->head.seq);
  insist(honest != nullptr && honest->tree.root() == held->head.root && world.made_at(log, held->head.seq + 1) == nullptr,
         doing + ": another log did not go on to its end");
}

}  // namespace wrackline::fuzz
