#include "support/bare_replica.h"

#include <algorithm>

#include "log/change_run.h"
#include "support/made_log.h"

namespace wrackline {

BareReplica::BareReplica(const std::string& path, const PublicKey& hub) : store_(must(Store::create(path, FacilityId{}))) {
  auto write = must(store_->begin_write());
  must(store_->set_hub_key(hub));
  must(write.commit());
}

void BareReplica::take(const std::map<LogId, std::vector<BareChange>>& world, const std::vector<Portion>& portions,
                       const std::function<void()>& at_end) {
  auto write = must(store_->begin_write());
  for (const auto& [id, count] : portions) {
    const std::vector<BareChange>& changes = world.at(id);
    LogEntry& log = *must(store_->logs().intern(id));
    const Seq first = log.head.seq;
    const std::size_t last = std::min<std::size_t>(changes.size(), first + count);
    if (first == last) continue;
    std::vector<Bytes> bytes;
    for (std::size_t i = first; i < last; ++i) bytes.push_back(changes[i].bytes);
    append_bare(*store_, id, changes.front().device, bytes);
    for (std::size_t i = first; i < last; ++i) {
      must(store_->records().apply(place_of(log.no, static_cast<Seq>(i + 1)), must(read_change(changes[i].bytes))));
    }
  }
  // An exchange does it in this order.
  if (store_->records().hub_has_moved()) {
    must(store_->records().flush());
    must(store_->records().rebuild());
  }
  if (at_end) at_end();
  must(write.commit());
}

void append_bare(Store& store, LogId id, const PublicKey& device, const std::vector<Bytes>& changes) {
  LogEntry& log = *must(store.logs().intern(id));
  if (!log.opening) {
    LogOpening opening;
    opening.device = device;
    must(store.logs().open(log, opening));
  }
  ChangeRun run;
  TreeWalk walk = must(store.logs().walk_at(log, log.head.seq));
  for (const Bytes& bytes : changes) {
    const std::uint32_t block = block_of(walk.tree().size());
    if (walk.needs_seed()) walk.give_seed(block, made_seed(block));
    run.append(bytes);
    walk.step(bytes);
  }
  must(store.logs().append(log, pack_run_plain(run), static_cast<std::uint32_t>(run.size()), walk));
}

std::uint32_t check_of(const BareChange& change) {
  const std::uint32_t leaf = change.id.seq - 1;
  return first4(change_leaf(BlockSalts(made_seed(block_of(leaf))).at(static_cast<unsigned>(leaf % kBlockLeaves)), change.bytes));
}

bool BareReplica::holds_all(const std::map<LogId, std::vector<BareChange>>& world) const {
  return std::all_of(world.begin(), world.end(), [this](const auto& log) {
    const LogEntry* here = store_->logs().find(log.first);
    return log.second.empty() || (here != nullptr && here->head.seq == log.second.size());
  });
}

bool BareReplica::is_as_rebuilt() {
  auto write = must(store_->begin_write());
  const Hash before = must(store_->records().table_digest());
  must(store_->records().rebuild());
  const bool is_same = must(store_->records().table_digest()) == before;
  must(write.commit());
  return is_same;
}

Bytes BareReplica::state() { return Bytes(view(must(store_->records().state_digest()).sha256)); }

std::set<ChangeId> BareReplica::held() {
  std::set<ChangeId> out;
  for (const auto& [id, log] : store_->logs().all()) {
    for (Seq seq = 1; seq <= log.head.seq; ++seq) {
      if (store_->records().holds().is_held(place_of(log.no, seq))) out.insert({id, seq});
    }
  }
  return out;
}

}  // namespace wrackline
