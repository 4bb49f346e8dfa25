// This file says what an app hears of changes: by a cursor over all logs here, and by asking the hub for news.
#include <algorithm>
#include <unordered_map>

#include "call/handlers.h"
#include "log/change.h"
#include "model/hold.h"
#include "model/kinds.h"
#include "reading/record_view.h"
#include "replica/author.h"
#include "sync/exchange.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kChangesUsual = 200;
constexpr std::uint32_t kChangesMost = 5000;

// The records of one page, each once, in the order in which they were last touched.
class ChangedPage {
 public:
  ChangedPage(Replica& replica, proto::ChangedReply& out) : replica_(replica), out_(out) {}

  Status add(ChangeId id, const Change& change) {
    const RecordId record = change.is_birth() ? id : change.record;
    touch(record, id);
    WRACKLINE_TRY_VALUE(kind, kind_of(record));
    // With a hold, what it takes out of account or back in has changed too.
    return kind == static_cast<std::uint32_t>(Kind::kHold) ? add_held(record, id) : Status();
  }

  Status write() {
    std::sort(touched_.begin(), touched_.end(), [](const Touched& a, const Touched& b) { return a.order < b.order; });
    for (const Touched& each : touched_) {
      proto::ChangedRecord& record = *out_.add_records();
      put_id(each.record, *record.mutable_record());
      put_id(each.change, *record.mutable_change());
      WRACKLINE_TRY_VALUE(kind, kind_of(each.record));
      record.set_kind(kind);
      const LogEntry* log = replica_.store().logs().find(each.change.log);
      record.set_by_this_device(log != nullptr && log->is_of(replica_.author().key()));
    }
    return {};
  }

 private:
  struct Touched {
    RecordId record;
    ChangeId change;
    std::size_t order = 0;
  };

  void touch(RecordId record, ChangeId change) {
    const auto [found, is_new] = places_.try_emplace(record, touched_.size());
    if (is_new) touched_.push_back({record, {}, 0});
    Touched& touched = touched_[found->second];
    touched.change = change;
    touched.order = ++touches_;
  }

  Result<std::uint32_t> kind_of(RecordId record) {
    LogTable& logs = replica_.store().logs();
    WRACKLINE_TRY_VALUE(bytes, logs.content_of(logs.find_place(record)));
    if (bytes.empty()) return 0u;
    WRACKLINE_TRY_VALUE(birth, read_change(bytes));
    return birth.kind;
  }

  Status add_held(RecordId hold, ChangeId by) {
    LogTable& logs = replica_.store().logs();
    WRACKLINE_TRY_VALUE(state, replica_.store().records().load(logs.find_place(hold)));
    if (!state) return {};
    const HeldChanges held = held_changes(state->fields);
    const LogEntry* log = logs.find(held.log);
    const Seq last = log == nullptr ? 0 : std::min(held.last, log->head.seq);
    for (Seq seq = held.first; held.log && seq <= last; ++seq) {
      const ChangeId id{held.log, seq};
      WRACKLINE_TRY_VALUE(bytes, logs.content_of(logs.find_place(id)));
      if (bytes.empty()) continue;
      WRACKLINE_TRY_VALUE(change, read_change(bytes));
      touch(change.is_birth() ? id : change.record, by);
    }
    return {};
  }

  Replica& replica_;
  proto::ChangedReply& out_;
  std::vector<Touched> touched_;
  std::unordered_map<RecordId, std::size_t> places_;
  std::size_t touches_ = 0;
};

// A log may have turned out to be a branch, and another have taken its place: then all of it is told anew.
Result<Seq> told_up_to(LogTable& logs, const LogEntry& log, const VectorPoint& seen) {
  if (seen.seq < log.base() || seen.seq > log.head.seq) return log.base();
  WRACKLINE_TRY_VALUE(tree, logs.tree_at(log, seen.seq));
  return first8(tree.root()) == seen.head ? seen.seq : log.base();
}

}  // namespace

Status handle_changed(Replica& replica, const proto::ChangedCall& call, proto::ChangedReply& out) {
  LogTable& logs = replica.store().logs();
  proto::Vector cursor;
  if (!cursor.ParseFromString(call.cursor())) {
    return fail(ErrorCode::kMalformed, "asking what has changed: the cursor is none that was given out; begin with an empty one");
  }
  const bool begins = call.cursor().empty();
  VersionVector seen;
  for (const proto::VectorEntry& entry : cursor.entries()) seen[LogId{entry.log()}] = {entry.seq(), entry.head()};
  std::uint32_t left = call.changes_max() == 0 ? kChangesUsual : std::min(call.changes_max(), kChangesMost);
  ChangedPage page(replica, out);
  cursor.Clear();
  for (const auto& [id, log] : logs.all()) {
    if (!log.opening || log.is_arrivals()) continue;
    Seq seq = log.head.seq;
    if (!begins) {
      WRACKLINE_TRY_VALUE(told, told_up_to(logs, log, seen[id]));
      seq = told;
    }
    for (; seq < log.head.seq && left > 0; --left) {
      ++seq;
      WRACKLINE_TRY_VALUE(bytes, logs.content_of(place_of(log.no, seq)));
      // The page reads a change again while later ones are read, so it keeps its own bytes.
      const Bytes content(bytes);
      WRACKLINE_TRY_VALUE(change, read_change(content));
      WRACKLINE_TRY(page.add({id, seq}, change));
    }
    if (seq < log.head.seq) out.set_has_more(true);
    proto::VectorEntry& entry = *cursor.add_entries();
    entry.set_log(id.value);
    entry.set_seq(seq);
    WRACKLINE_TRY_VALUE(tree, logs.tree_at(log, seq));
    entry.set_head(first8(tree.root()));
  }
  out.set_cursor(cursor.SerializeAsString());
  return page.write();
}

Status handle_news(Replica& replica, proto::NewsStep& out) {
  WRACKLINE_TRY_VALUE(request, news_request(replica.store()));
  out.set_request(request);
  return {};
}

}  // namespace wrackline
