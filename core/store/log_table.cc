#include "store/log_table.h"

#include <algorithm>

namespace wrackline {
namespace {

// Unpacked runs kept at hand; the whole cache of a tablet with a year of records fits.
constexpr std::size_t kCacheBytesMax = 16 << 20;
constexpr std::size_t kCacheRunsMax = 1024;

Unexpected damaged() {
  return fail(ErrorCode::kStorage,
              "reading a log: the stored changes are damaged; nothing was changed; keep a copy of the file and "
              "exchange with the hub from a new replica");
}

}  // namespace

LogTable::LogTable(Database& database, const FacilityId& facility)
    : database_(database),
      facility_(facility),
      insert_log_(database, "INSERT INTO log(id) VALUES(?) RETURNING no"),
      set_device_(database, "UPDATE log SET device_key=? WHERE no=?"),
      set_branch_(database,
                  "UPDATE log SET device_key=?,branch_root=?,branch_of=?,branch_after=?,branch_base=?,branch_first=? "
                  "WHERE no=?"),
      insert_segment_(database, "INSERT INTO segment(first,count,chain,seal,codec,body,marks) VALUES(?,?,?,?,?,?,?)"),
      run_at_(database, "SELECT first,count,codec,body,chain FROM segment WHERE first<=? ORDER BY first DESC LIMIT 1"),
      runs_after_(database,
                  "SELECT first,count,codec,body,chain,seal,marks FROM segment WHERE first+count-1>? AND first>=? AND "
                  "first<=? ORDER BY first"),
      delete_tail_(database, "DELETE FROM segment WHERE first>=? AND first<=?") {}

Status LogTable::reload() {
  logs_.clear();
  ids_.clear();
  cache_.clear();
  cache_bytes_ = 0;
  has_branches_ = false;
  Statement logs(database_,
                 "SELECT no,id,device_key,branch_root,branch_of,branch_after,branch_base,branch_first FROM log");
  Statement last(database_,
                 "SELECT first+count-1,chain FROM segment WHERE first>=? AND first<=? ORDER BY first DESC LIMIT 1");
  Statement sealed(database_,
                   "SELECT first+count-1 FROM segment WHERE first>=? AND first<=? AND seal IS NOT NULL "
                   "ORDER BY first DESC LIMIT 1");
  Statement receipted(database_, "SELECT max(place) FROM receipt WHERE place>=? AND place<=?");
  for (;;) {
    WRACKLINE_TRY_VALUE(row, logs.step());
    if (!row) break;
    LogEntry log;
    log.no = logs.integer(0);
    log.id = LogId{static_cast<std::uint64_t>(logs.integer(1))};
    if (!logs.is_null(2)) {
      PublicKey key{};
      if (!copy_exactly(logs.blob(2), key)) return damaged();
      log.device = key;
      log.head.hash = chain_start(facility_, log.id, key);
    }
    if (!logs.is_null(3)) {
      Branch branch{LogId{static_cast<std::uint64_t>(logs.integer(3))}, LogId{static_cast<std::uint64_t>(logs.integer(4))},
                    static_cast<Seq>(logs.integer(5)), {}, {}};
      if (!copy_exactly(logs.blob(6), branch.base) || !copy_exactly(logs.blob(7), branch.first)) return damaged();
      log.head = {branch.after, branch.base};
      log.sealed = branch.after;
      log.branch = branch;
      has_branches_ = true;
    }
    const Place low = place_of(log.no, 1), high = place_of(log.no, kSeqMax);
    WRACKLINE_TRY_VALUE(has_last, last.with(low, high).step());
    if (has_last) {
      log.head.seq = seq_of(last.integer(0));
      if (!copy_exactly(last.blob(1), log.head.hash)) return damaged();
    }
    WRACKLINE_TRY_VALUE(has_sealed, sealed.with(low, high).step());
    if (has_sealed) log.sealed = seq_of(sealed.integer(0));
    WRACKLINE_TRY_VALUE(has_receipt, receipted.with(low, high).step());
    if (has_receipt && !receipted.is_null(0)) log.receipted = seq_of(receipted.integer(0));
    ids_[log.no] = log.id;
    logs_[log.id] = log;
  }
  return {};
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
  if (!row) return damaged();
  LogEntry log;
  log.no = insert_log_.integer(0);
  log.id = id;
  insert_log_.reset();
  ids_[log.no] = id;
  return &(logs_[id] = log);
}

Result<Place> LogTable::intern_place(ChangeId id) {
  if (!id) return Place{0};
  WRACKLINE_TRY_VALUE(log, intern(id.log));
  return place_of(log->no, id.seq);
}

Status LogTable::set_device(LogEntry& log, const PublicKey& device) {
  WRACKLINE_TRY(set_device_.with(view(device), log.no).run());
  log.device = device;
  log.head = {0, chain_start(facility_, log.id, device)};
  return {};
}

Status LogTable::insert_run(LogEntry& log, std::uint32_t count, const Hash& chain) {
  if (count > kSeqMax - log.head.seq) {
    return fail(ErrorCode::kTooLarge, "appending to a log: it is full; nothing was kept; open a new log");
  }
  WRACKLINE_TRY(insert_segment_.run());
  log.head.seq += count;
  log.head.hash = chain;
  return {};
}

Status LogTable::append_unsealed(LogEntry& log, const PackedRun& run, std::uint32_t count, const Hash& chain) {
  insert_segment_.with(place_of(log.no, log.head.seq + 1), count, view(chain), nullptr, run.codec, ByteView(run.body), nullptr);
  return insert_run(log, count, chain);
}

Status LogTable::append(LogEntry& log, const PackedRun& run, std::uint32_t count, const MarkedChain& chain,
                        const Signature& seal) {
  insert_segment_.with(place_of(log.no, log.head.seq + 1), count, view(chain.chain), view(seal), run.codec, ByteView(run.body),
                       ByteView(chain.marks));
  WRACKLINE_TRY(insert_run(log, count, chain.chain));
  log.sealed = log.head.seq;
  return {};
}

Status LogTable::seal_tail(LogEntry& log, const Sign& sign) {
  if (log.sealed == log.head.seq) return {};
  struct Sealed {
    PackedRun packed;
    std::uint32_t count;
    MarkedChain chain;
    Signature seal;
  };
  std::vector<Sealed> runs;
  ChangeRun run;
  WRACKLINE_TRY_VALUE(before, chain_at(log, log.sealed));
  MarkedChain chain{before, {}};
  Seq seq = log.sealed;
  const Seq first_unsealed = log.sealed + 1;
  const auto close = [&]() -> Status {
    WRACKLINE_TRY_VALUE(seal, sign({log.sealed_as(), seq}, chain.chain));
    runs.push_back({pack_run(run), static_cast<std::uint32_t>(run.size()), chain, seal});
    chain.marks.clear();
    run = ChangeRun();
    return {};
  };
  const auto take = [&](Seq, ByteView bytes) -> Status {
    if (!run.has_room_for(bytes.size())) WRACKLINE_TRY(close());
    run.append(bytes);
    chain.step(bytes);
    ++seq;
    return {};
  };
  WRACKLINE_TRY(for_each(log, log.sealed, take));
  WRACKLINE_TRY(close());
  WRACKLINE_TRY(delete_tail_.with(place_of(log.no, log.sealed + 1), place_of(log.no, kSeqMax)).run());
  log.head.seq = log.sealed;
  for (const Sealed& r : runs) WRACKLINE_TRY(append(log, r.packed, r.count, r.chain, r.seal));
  forget_runs(place_of(log.no, first_unsealed), place_of(log.no, kSeqMax));
  return {};
}

Result<std::uint32_t> LogTable::drop_tail(LogEntry& log) {
  const std::uint32_t dropped = log.head.seq - log.sealed;
  if (dropped == 0) return dropped;
  WRACKLINE_TRY_VALUE(chain, chain_at(log, log.sealed));
  WRACKLINE_TRY(delete_tail_.with(place_of(log.no, log.sealed + 1), place_of(log.no, kSeqMax)).run());
  forget_runs(place_of(log.no, log.sealed + 1), place_of(log.no, kSeqMax));
  log.head = {log.sealed, chain};
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
  if (!row) return nullptr;
  const Place first = run_at_.integer(0);
  const Place last = first + run_at_.integer(1) - 1;
  if (place > last) {
    run_at_.reset();
    return nullptr;
  }
  auto run = unpack_run(static_cast<std::uint32_t>(run_at_.integer(2)), run_at_.blob(3),
                        static_cast<std::size_t>(run_at_.integer(1)));
  run_at_.reset();
  if (!run) return damaged();
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

Result<Hash> LogTable::chain_at(const LogEntry& log, Seq seq) {
  if (seq == log.head.seq) return log.head.hash;
  if (seq > log.head.seq || !log.device) {
    return fail(ErrorCode::kNotFound, "reading a log: it does not reach that far here");
  }
  if (log.branch && seq == log.branch->after) return log.branch->base;
  if (seq < log.base()) return fail(ErrorCode::kNotFound, "reading a log: it does not reach back that far here");
  if (seq == 0) return chain_start(facility_, log.id, *log.device);
  // The run that holds seq, from the hash at the end of the run before it.
  const Place place = place_of(log.no, seq);
  WRACKLINE_TRY_VALUE(row, run_at_.with(place).step());
  if (!row) return damaged();
  const Seq first = seq_of(run_at_.integer(0));
  Hash chain{};
  if (seq == first + run_at_.integer(1) - 1) {
    const bool whole = copy_exactly(run_at_.blob(4), chain);
    run_at_.reset();
    if (!whole) return damaged();
    return chain;
  }
  run_at_.reset();
  WRACKLINE_TRY_VALUE(before, chain_at(log, first - 1));
  chain = before;
  for (Seq s = first; s <= seq; ++s) {
    WRACKLINE_TRY_VALUE(bytes, bytes_of(place_of(log.no, s)));
    chain = chain_next(chain, bytes);
  }
  return chain;
}

Result<std::vector<SealedRun>> LogTable::runs_after(const LogEntry& log, Seq after, std::size_t bytes_max) {
  std::vector<SealedRun> out;
  if (after >= log.sealed) return out;
  // The run that holds `after` + 1 may begin earlier.
  WRACKLINE_TRY_VALUE(row, run_at_.with(place_of(log.no, after + 1)).step());
  const Place first = row ? run_at_.integer(0) : 0;
  run_at_.reset();
  Statement& rows = runs_after_.with(place_of(log.no, after), first, place_of(log.no, log.sealed));
  std::size_t bytes = 0;
  while (bytes < bytes_max) {
    WRACKLINE_TRY_VALUE(more, rows.step());
    if (!more || rows.is_null(5)) break;
    SealedRun& run = out.emplace_back();
    run.first = seq_of(rows.integer(0));
    run.count = static_cast<std::uint32_t>(rows.integer(1));
    run.codec = static_cast<std::uint32_t>(rows.integer(2));
    run.body = Bytes(rows.blob(3));
    if (!copy_exactly(rows.blob(5), run.seal)) return damaged();
    bytes += run.body.size() + 128;
    if (bytes > bytes_max && out.size() > 1) {
      out.pop_back();
      break;
    }
  }
  rows.reset();
  return out;
}

Result<std::optional<LogTable::StoredRun>> LogTable::run_behind(const LogEntry& log, Seq after) {
  if (after >= log.head.seq) return std::optional<StoredRun>{};
  Statement& rows = runs_after_.with(place_of(log.no, after), place_of(log.no, after + 1), place_of(log.no, kSeqMax));
  WRACKLINE_TRY_VALUE(row, rows.step());
  if (!row) return damaged();
  StoredRun out;
  out.first = seq_of(rows.integer(0));
  const std::int64_t count = rows.integer(1);
  const bool is_usable = count > 0 && count <= kSeqMax - out.first + 1;
  if (is_usable) {
    out.count = static_cast<std::uint32_t>(count);
    auto run = unpack_run(static_cast<std::uint32_t>(rows.integer(2)), rows.blob(3), out.count);
    if (run) out.changes = std::move(*run);
    (void)copy_exactly(rows.blob(4), out.chain);
    out.is_sealed = !rows.is_null(5);
    (void)copy_exactly(rows.blob(5), out.seal);
    out.marks = Bytes(rows.blob(6));
  }
  rows.reset();
  if (!is_usable) return damaged();
  return std::optional<StoredRun>(std::move(out));
}

Status LogTable::for_each(const LogEntry& log, Seq after, const std::function<Status(Seq, ByteView)>& visit) {
  for (Seq seq = std::max(after, log.base()) + 1; seq <= log.head.seq; ++seq) {
    WRACKLINE_TRY_VALUE(bytes, bytes_of(place_of(log.no, seq)));
    if (bytes.empty()) return damaged();
    WRACKLINE_TRY(visit(seq, bytes));
  }
  return {};
}

}  // namespace wrackline
