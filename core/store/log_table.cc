#include "store/log_table.h"

#include <algorithm>

#include "store/damaged.h"

namespace wrackline {
namespace {

// Unpacked runs kept at hand; the whole cache of a tablet with a year of records fits.
constexpr std::size_t kCacheBytesMax = 16 << 20;
constexpr std::size_t kCacheRunsMax = 1024;

}  // namespace

LogTable::LogTable(Database& database)
    : database_(database),
      insert_log_(database, "INSERT INTO log(id) VALUES(?) RETURNING no"),
      marks_(database, "SELECT first,marks FROM segment WHERE first<=? ORDER BY first DESC LIMIT 1"),
      open_log_(database, "UPDATE log SET opening=?,start=? WHERE no=?"),
      set_branch_(database, "UPDATE log SET branch_root=?,branch_of=?,branch_first=? WHERE no=?"),
      set_seal_(database, "UPDATE log SET seal=? WHERE no=?"),
      insert_segment_(database, "INSERT INTO segment(first,count,tree,codec,body,marks) VALUES(?,?,?,?,?,?)"),
      run_at_(database, "SELECT first,count,codec,body,tree FROM segment WHERE first<=? ORDER BY first DESC LIMIT 1"),
      runs_after_(database, "SELECT first,count,codec,body,tree,marks FROM segment WHERE first>=? AND first<=? ORDER BY first"),
      delete_runs_(database, "DELETE FROM segment WHERE first>=? AND first<=?"),
      put_block_(database, "INSERT INTO block VALUES(?,?,?) ON CONFLICT(first) DO UPDATE SET root=excluded.root"),
      block_(database, "SELECT seed,root FROM block WHERE first=?") {}

Status LogTable::reload() {
  logs_.clear();
  ids_.clear();
  cache_.clear();
  cache_bytes_ = 0;
  known_salts_ = {};
  has_branches_ = false;
  Statement rows(database_, "SELECT no,id,opening,start,seal,branch_root,branch_of,branch_first FROM log");
  for (;;) {
    WRACKLINE_TRY_VALUE(row, rows.step());
    if (!row) break;
    LogEntry log;
    WRACKLINE_TRY(read_log(rows, log));
    has_branches_ = has_branches_ || log.branch;
    ids_[log.no] = log.id;
    logs_[log.id] = std::move(log);
  }
  Statement last(database_, "SELECT first+count-1,tree FROM segment WHERE first>=? AND first<=? ORDER BY first DESC LIMIT 1");
  for (auto& [id, log] : logs_) {
    WRACKLINE_TRY_VALUE(has_last, last.with(place_of(log.no, 1), place_of(log.no, kSeqMax)).step());
    if (has_last) {
      log.head.seq = seq_of(last.integer(0));
      auto tree = Frontier::read(log.head.seq, last.blob(1));
      if (!tree) return log_is_damaged();
      log.tree = std::move(*tree);
    }
    log.head.root = log.tree.root();
    if (log.seal) log.sealed = static_cast<Seq>(std::min<std::uint64_t>(log.seal->size, log.head.seq));
  }
  return {};
}

Status LogTable::read_log(Statement& row, LogEntry& log) {
  log.no = row.integer(0);
  log.id = LogId{static_cast<std::uint64_t>(row.integer(1))};
  if (!row.is_null(2)) {
    log.opening = read_opening(row.blob(2));
    if (!log.opening) return log_is_damaged();
  }
  if (!row.is_null(3)) {
    auto start = Frontier::read_sized(row.blob(3));
    if (!start || start->size() > kSeqMax) return log_is_damaged();
    log.start = log.tree = std::move(*start);
    log.head.seq = log.sealed = log.base();
  }
  if (!row.is_null(4)) {
    log.seal = read_seal(row.blob(4));
    if (!log.seal) return log_is_damaged();
  }
  if (!row.is_null(5)) {
    Branch branch{LogId{static_cast<std::uint64_t>(row.integer(5))}, LogId{static_cast<std::uint64_t>(row.integer(6))}, log.base(), {}};
    if (!copy_exactly(row.blob(7), branch.first)) return log_is_damaged();
    log.branch = branch;
  }
  return {};
}

std::uint64_t LogTable::count() const {
  std::uint64_t out = 0;
  for (const auto& [id, log] : logs_) out += log.is_arrivals() ? 0 : log.head.seq;
  return out;
}

const LogEntry* LogTable::find(LogId id) const {
  const auto it = logs_.find(id);
  return it == logs_.end() ? nullptr : &it->second;
}

ChangeId LogTable::id_of(Place place) const {
  const auto it = ids_.find(log_no_of(place));
  return it == ids_.end() ? ChangeId{} : ChangeId{it->second, seq_of(place)};
}

Place LogTable::find_place(ChangeId id) const {
  const LogEntry* log = id ? find(id.log) : nullptr;
  return log == nullptr ? 0 : place_of(log->no, id.seq);
}

Result<LogEntry*> LogTable::intern(LogId id) {
  const auto it = logs_.find(id);
  if (it != logs_.end()) return &it->second;
  WRACKLINE_TRY_VALUE(row, insert_log_.with(id.value).step());
  if (!row) return log_is_damaged();
  LogEntry log;
  log.no = insert_log_.integer(0);
  log.id = id;
  log.head.root = log.tree.root();
  insert_log_.reset();
  ids_[log.no] = id;
  return &(logs_[id] = std::move(log));
}

Result<Place> LogTable::intern_place(ChangeId id) {
  if (!id) return Place{0};
  WRACKLINE_TRY_VALUE(log, intern(id.log));
  return place_of(log->no, id.seq);
}

Status LogTable::open(LogEntry& log, const LogOpening& opening) {
  WRACKLINE_TRY(open_log_.with(ByteView(to_bytes(opening)), nullptr, log.no).run());
  log.opening = opening;
  return {};
}

Status LogTable::open_behind(LogEntry& log, const LogOpening& opening, const Frontier& start) {
  WRACKLINE_TRY(open_log_.with(ByteView(to_bytes(opening)), ByteView(start.sized_bytes()), log.no).run());
  log.opening = opening;
  log.start = log.tree = start;
  log.head = {log.base(), start.root()};
  log.sealed = log.base();
  return {};
}

Status LogTable::append(LogEntry& log, const PackedRun& run, std::uint32_t count, TreeWalk& walk) {
  if (count > kSeqMax - log.head.seq) {
    return fail(ErrorCode::kTooLarge, "appending to a log: it is full; nothing was kept; open a new log");
  }
  const Bytes tree = walk.tree().bytes(), marks = walk.take_marks();
  WRACKLINE_TRY(insert_segment_
                    .with(place_of(log.no, log.head.seq + 1), count, ByteView(tree), run.codec, ByteView(run.body), ByteView(marks))
                    .run());
  WRACKLINE_TRY(put_blocks(log, walk.take_blocks()));
  log.tree = walk.tree();
  log.head = {log.head.seq + count, log.tree.root()};
  return {};
}

Status LogTable::set_seal(LogEntry& log, LogSeal seal) {
  WRACKLINE_TRY(set_seal_.with(ByteView(to_bytes(seal)), log.no).run());
  log.sealed = static_cast<Seq>(std::min<std::uint64_t>(seal.size, log.head.seq));
  log.seal = std::move(seal);
  return {};
}

Status LogTable::seal_tail(LogEntry& log, const Sign& sign) {
  if (log.sealed == log.head.seq) return {};
  struct Packed {
    PackedRun run;
    std::uint32_t count;
    TreeWalk walk;
  };
  std::vector<Packed> runs;
  ChangeRun run;
  WRACKLINE_TRY_VALUE(walk, walk_over(log, log.sealed));
  const auto close = [&] {
    runs.push_back({pack_run(run), static_cast<std::uint32_t>(run.size()), walk});
    (void)walk.take_marks();
    (void)walk.take_blocks();
    run = ChangeRun();
  };
  const auto take = [&](Seq, ByteView bytes) -> Status {
    if (!run.has_room_for(bytes.size())) close();
    run.append(bytes);
    walk.step(bytes);
    return {};
  };
  WRACKLINE_TRY(for_each(log, log.sealed, take));
  close();
  const Seq head = log.head.seq;
  WRACKLINE_TRY(delete_runs_.with(place_of(log.no, log.sealed + 1), place_of(log.no, kSeqMax)).run());
  forget_runs(place_of(log.no, log.sealed + 1), place_of(log.no, kSeqMax));
  log.head.seq = log.sealed;
  for (Packed& packed : runs) WRACKLINE_TRY(append(log, packed.run, packed.count, packed.walk));
  LogSeal seal;
  seal.size = head;
  seal.root = log.head.root;
  WRACKLINE_TRY(sign(log, seal));
  WRACKLINE_TRY(set_seal(log, std::move(seal)));
  return pack_short_runs(log);
}

// A run joins the one before it when that is at most twice as long.
Status LogTable::pack_short_runs(const LogEntry& log) {
  Statement last_two(database_,
                     "SELECT first,count,codec,body,tree,marks FROM segment WHERE first>=? AND first<=? ORDER BY first DESC LIMIT 2");
  for (;;) {
    struct Row {
      Place first = 0;
      std::int64_t count = 0;
      PackedRun packed;
      Bytes tree, marks;
    };
    std::vector<Row> rows;
    last_two.with(place_of(log.no, 1), place_of(log.no, log.sealed));
    for (;;) {
      WRACKLINE_TRY_VALUE(row, last_two.step());
      if (!row) break;
      rows.push_back({last_two.integer(0), last_two.integer(1),
                      {static_cast<std::uint32_t>(last_two.integer(2)), Bytes(last_two.blob(3))},
                      Bytes(last_two.blob(4)), Bytes(last_two.blob(5))});
    }
    last_two.reset();
    if (rows.size() < 2 || rows[1].count > 2 * rows[0].count) return {};
    if (static_cast<std::size_t>(rows[0].count + rows[1].count) > kRunChangesWanted) return {};
    ChangeRun joined;
    bool fits = true;
    for (const Row* row : {&rows[1], &rows[0]}) {
      const auto run = unpack_run(row->packed.codec, row->packed.body, static_cast<std::size_t>(row->count));
      if (!run) return log_is_damaged();
      for (std::size_t i = 0; i < run->size(); ++i) {
        fits = fits && joined.has_room_for((*run)[i].size());
        joined.append((*run)[i]);
      }
    }
    if (!fits) return {};
    const PackedRun packed = pack_run(joined);
    WRACKLINE_TRY(delete_runs_.with(rows[1].first, rows[0].first).run());
    forget_runs(rows[1].first, rows[0].first);
    WRACKLINE_TRY(insert_segment_
                      .with(rows[1].first, rows[0].count + rows[1].count, ByteView(rows[0].tree), packed.codec, ByteView(packed.body),
                            ByteView(rows[1].marks + rows[0].marks))
                      .run());
  }
}

Result<std::uint32_t> LogTable::drop_tail(LogEntry& log) {
  const std::uint32_t dropped = log.head.seq - log.sealed;
  if (dropped == 0) return dropped;
  WRACKLINE_TRY_VALUE(tree, tree_at(log, log.sealed));
  WRACKLINE_TRY(delete_runs_.with(place_of(log.no, log.sealed + 1), place_of(log.no, kSeqMax)).run());
  forget_runs(place_of(log.no, log.sealed + 1), place_of(log.no, kSeqMax));
  WRACKLINE_TRY(forget_blocks(log, log.sealed));
  log.head = {log.sealed, tree.root()};
  log.tree = std::move(tree);
  return dropped;
}

void LogTable::forget_runs(Place first, Place last) {
  for (auto it = cache_.lower_bound(first); it != cache_.end() && it->first <= last; it = cache_.erase(it)) {
    cache_bytes_ -= it->second.run->bytes();
  }
}

Result<LogTable::CachedRun*> LogTable::cached_run(Place place) {
  auto it = cache_.upper_bound(place);
  if (it != cache_.begin() && place <= (--it)->second.last) {
    it->second.used = ++uses_;
    return &it->second;
  }
  WRACKLINE_TRY_VALUE(row, run_at_.with(place).step());
  if (!row) {
    run_at_.reset();
    return nullptr;
  }
  const Place first = run_at_.integer(0);
  const Place last = first + run_at_.integer(1) - 1;
  if (place > last) {
    run_at_.reset();
    return nullptr;
  }
  auto run = unpack_run(static_cast<std::uint32_t>(run_at_.integer(2)), run_at_.blob(3), static_cast<std::size_t>(run_at_.integer(1)));
  run_at_.reset();
  if (!run) return log_is_damaged();
  return &keep_run(first, std::make_shared<const ChangeRun>(std::move(*run)));
}

LogTable::CachedRun& LogTable::keep_run(Place first, std::shared_ptr<const ChangeRun> run) {
  while (!cache_.empty() && (cache_bytes_ + run->bytes() > kCacheBytesMax || cache_.size() >= kCacheRunsMax)) {
    auto oldest = cache_.begin();
    for (auto c = cache_.begin(); c != cache_.end(); ++c) {
      if (c->second.used < oldest->second.used) oldest = c;
    }
    cache_bytes_ -= oldest->second.run->bytes();
    cache_.erase(oldest);
  }
  cache_bytes_ += run->bytes();
  const Place last = first + static_cast<Place>(run->size()) - 1;
  return cache_[first] = {last, std::move(run), ++uses_};
}

void LogTable::remember(const LogEntry& log, std::shared_ptr<const ChangeRun> run) {
  const Place first = place_of(log.no, log.head.seq) - static_cast<Place>(run->size()) + 1;
  keep_run(first, std::move(run));
}

Result<ByteView> LogTable::bytes_of(Place place) {
  WRACKLINE_TRY_VALUE(cached, cached_run(place));
  if (cached == nullptr) return ByteView{};
  const std::size_t index = cached->run->size() - 1 - static_cast<std::size_t>(cached->last - place);
  return (*cached->run)[index];
}

Result<std::optional<LogTable::StoredRun>> LogTable::run_behind(const LogEntry& log, Seq after) {
  if (after >= log.head.seq) return std::optional<StoredRun>{};
  Statement& rows = runs_after_.with(place_of(log.no, after + 1), place_of(log.no, kSeqMax));
  WRACKLINE_TRY_VALUE(row, rows.step());
  if (!row) return log_is_damaged();
  StoredRun out;
  out.first = seq_of(rows.integer(0));
  const std::int64_t count = rows.integer(1);
  const bool is_usable = count > 0 && count <= kSeqMax - out.first + 1;
  if (is_usable) {
    out.count = static_cast<std::uint32_t>(count);
    auto run = unpack_run(static_cast<std::uint32_t>(rows.integer(2)), rows.blob(3), out.count);
    if (run) out.changes = std::move(*run);
    out.tree = Frontier::read(out.last(), rows.blob(4));
    out.marks = Bytes(rows.blob(5));
  }
  rows.reset();
  if (!is_usable) return log_is_damaged();
  return std::optional<StoredRun>(std::move(out));
}

Status LogTable::for_each(const LogEntry& log, Seq after, const std::function<Status(Seq, ByteView)>& visit) {
  for (Seq seq = std::max(after, log.base()) + 1; seq <= log.head.seq; ++seq) {
    WRACKLINE_TRY_VALUE(bytes, bytes_of(place_of(log.no, seq)));
    if (bytes.empty()) return log_is_damaged();
    WRACKLINE_TRY(visit(seq, bytes));
  }
  return {};
}

}  // namespace wrackline
