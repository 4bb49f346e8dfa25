#include "replica/own_logs.h"

#include <algorithm>
#include <utility>

#include "base/planted.h"

namespace wrackline {
namespace {

constexpr const char* kFenced = "fenced";

}  // namespace

Status OwnLogs::find() {
  // Read before the database is looked at: another process may be writing, and raises the fence after its commit.
  const std::optional<FencePoint> point = fence_ == nullptr ? std::nullopt : fence_->read();
  WRACKLINE_TRY(store_.refresh());
  WRACKLINE_TRY_VALUE(own, store_.own_logs());
  if (own == logs_) return {};
  logs_ = {};
  were_put_back_ = false;
  const bool are_here = std::all_of(own.begin(), own.end(), [this](const auto& each) {
    const LogEntry* log = store_.logs().find(each.second);
    return log != nullptr && log->is_of(keystore_.public_key());
  });
  if (own.empty() || !are_here) return {};
  WRACKLINE_TRY_VALUE(is_behind, is_behind_fence(point));
  were_put_back_ = is_behind;
  if (is_behind) return {};
  logs_ = std::move(own);
  WRACKLINE_TRY_VALUE(fenced, store_.meta(kFenced));
  lacks_fence_mark_ = fence_ != nullptr && !fenced;
  return {};
}

Result<LogEntry*> OwnLogs::open(LogClass log_class) {
  if (!planted("trust-the-open-log") || logs_.count(log_class) == 0) {
    WRACKLINE_TRY_VALUE(key, store_.device_key());
    if (key && *key != keystore_.public_key()) {
      return fail(ErrorCode::kKeystore, "writing: these records have gone on under another key of this device; nothing was logged; open them anew");
    }
    WRACKLINE_TRY_VALUE(own, store_.own_logs());
    if (own != logs_) WRACKLINE_TRY(find());
    if (logs_.count(log_class) == 0) return begin(log_class);
  }
  if (std::exchange(lacks_fence_mark_, false)) WRACKLINE_TRY(store_.set_meta(kFenced, "1"));
  return store_.logs().intern(logs_.at(log_class));
}

Result<LogEntry*> OwnLogs::begin(LogClass log_class) {
  LogOpening opening{keystore_.public_key(), log_class, {}, {}};
  WRACKLINE_TRY_VALUE(random, random_(opening.nonce.size()));
  (void)copy_exactly(random, opening.nonce);
  WRACKLINE_TRY_VALUE(entry, store_.logs().intern(log_id(store_.facility(), opening)));
  WRACKLINE_TRY(store_.logs().open(*entry, opening));
  logs_[log_class] = entry->id;
  WRACKLINE_TRY(store_.set_own_logs(logs_));
  if (fence_ != nullptr) WRACKLINE_TRY(store_.set_meta(kFenced, "1"));
  lacks_fence_mark_ = false;
  return entry;
}

Status OwnLogs::leave() {
  logs_ = {};
  return store_.set_own_logs({});
}

LogId OwnLogs::of(LogClass log_class) const {
  const auto own = logs_.find(log_class);
  return own == logs_.end() ? LogId() : own->second;
}

bool OwnLogs::has(LogId log) const {
  return std::any_of(logs_.begin(), logs_.end(), [&](const auto& each) { return each.second == log; });
}

std::map<LogClass, ChangeId> OwnLogs::heads() const {
  std::map<LogClass, ChangeId> out;
  for (const auto& [log_class, id] : logs_) {
    const LogEntry* log = store_.logs().find(id);
    out[log_class] = {id, log == nullptr ? 0 : log->head.seq};
  }
  return out;
}

// A database that was fenced and finds no fence has come to another device; one that lies behind it, or beside it,
// was put back.
Result<bool> OwnLogs::is_behind_fence(const std::optional<FencePoint>& point) {
  if (fence_ == nullptr || planted("ignore-the-fence")) return false;
  WRACKLINE_TRY_VALUE(fenced, store_.meta(kFenced));
  if (!point) return fenced.has_value();
  const LogEntry* log = store_.logs().find(point->log);
  if (log == nullptr || !log->is_of(keystore_.public_key()) || log->head.seq < point->seq) return true;
  WRACKLINE_TRY_VALUE(tree, store_.logs().tree_at(*log, point->seq));
  return first8(tree.root()) != point->root;
}

void OwnLogs::raise_fence() {
  const LogId last = std::exchange(written_, LogId());
  const LogEntry* own = fence_ == nullptr || !last ? nullptr : store_.logs().find(last);
  if (own == nullptr) return;
  // An entry is not refused for a fence that cannot be written; the hub would tell the branches all the same.
  (void)fence_->write({last, own->head.seq, first8(own->head.root)});
}

}  // namespace wrackline
