#include "replica/author.h"

#include <algorithm>
#include <utility>

#include "base/planted.h"
#include "base/wire.h"
#include "model/countersigning.h"
#include "model/kinds.h"
#include "state/fold.h"

namespace wrackline {
namespace {

constexpr const char* kClock = "clock";
// The author seals a tail of this many changes unasked, so that it takes little room on the disk.
constexpr Seq kTailMax = 4096;
// A run this long is packed as it is written, rather than when its log is sealed.
constexpr std::uint32_t kPackedAtOnceMin = 512;

Unexpected invalid(std::string doing, const std::string& sentences) {
  return fail(ErrorCode::kInvalid, std::move(doing) + ": " + sentences + "; nothing was logged");
}

std::string sentences_of(const RecordProblems& broken, bool several) {
  std::string out;
  for (const RecordProblem& each : broken) {
    if (!out.empty()) out += "; ";
    out += std::string(find_kind(each.kind)->name) + (several ? " " + std::to_string(each.record + 1) : "") + ": " + sentence_of(each.problem);
  }
  return out;
}

// A link names a record whose id is not known before it is written; any id will do to judge the record.
constexpr RecordId kSomeRecord{LogId{1}, 1};

// The fields of a record with those that name earlier ones of the call. `ids` are theirs.
Result<ByteView> linked_fields(const NewRecord& record, const std::vector<RecordId>& ids, Bytes& linked) {
  if (record.links.empty()) return ByteView(record.fields);
  linked = record.fields;
  for (const NewRecord::Link& link : record.links) {
    if (link.record >= ids.size()) {
      return fail(ErrorCode::kInvalid, "logging a record: it is linked to one that does not come before it; nothing was logged");
    }
    append_record_ref_field(linked, link.field, ids[link.record]);
  }
  return ByteView(linked);
}

bool is_built_in(std::uint32_t field) { return field >= kStandingField; }

}  // namespace

std::set<std::uint32_t> fields_of(const Edit& edit) {
  std::set<std::uint32_t> numbers(edit.clears.begin(), edit.clears.end());
  WireReader reader(edit.fields);
  WireField field;
  while (reader.next(field)) numbers.insert(field.number);
  return numbers;
}

Bytes as_edited(ByteView merged, const Edit& edit, const std::set<std::uint32_t>& fields) {
  Bytes out;
  WireReader reader(merged);
  WireField field;
  while (reader.next(field)) {
    if (fields.count(field.number) == 0) out += field.slice;
  }
  return out + edit.fields;
}

struct Author::Batch {
  LogEntry* log = nullptr;
  Seq next = 0;
  TreeWalk walk;
  Seq first = 0;
  ChangeRun run;                   // Not yet in the log table.
  std::vector<ChangeRun> written;  // In it already.
};

Author::Author(Store& store, Keystore& keystore, std::function<WallMs()> wall_clock, Fence* fence, RandomSource random)
    : store_(store),
      keystore_(keystore),
      wall_clock_(std::move(wall_clock)),
      random_(random ? std::move(random) : RandomSource(random_bytes)),
      own_(store, keystore, fence, random_) {}

Status Author::find_logs() {
  clock_heads_.reset();
  return own_.find();
}

Status Author::leave_logs_in() {
  clock_heads_.reset();
  return own_.leave();
}

Status Author::leave_logs() {
  if (planted("reuse-a-log")) return {};
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  WRACKLINE_TRY(leave_logs_in());
  return write.commit();
}

Status Author::succeed_in(const PublicKey& before) {
  WRACKLINE_TRY_VALUE(last, last_stamp(before));
  Bytes stamp;
  append_le(stamp, last.value, 8);
  WRACKLINE_TRY(store_.set_meta(kClock, stamp));
  WRACKLINE_TRY(store_.set_device_key(keystore_.public_key()));
  return leave_logs_in();
}

// The latest stamp this device has issued or followed, by what is on the disk.
Result<Stamp> Author::last_stamp(const PublicKey& key) {
  Stamp last;
  WRACKLINE_TRY_VALUE(followed, store_.meta(kClock));
  if (followed && followed->size() == 8) last.value = load_le(*followed);
  // All logs of this device: a new one's stamps follow on those of the one before.
  for (const auto& [id, log] : store_.logs().all()) {
    if (!log.is_of(key) || log.head.seq == log.base()) continue;
    WRACKLINE_TRY_VALUE(bytes, store_.logs().bytes_of(place_of(log.no, log.head.seq)));
    WRACKLINE_TRY_VALUE(change, read_change(bytes));
    last = std::max(last, change.stamp, [](Stamp a, Stamp b) { return a < b; });
  }
  return last;
}

Status Author::observe_in(Stamp remote) {
  clock_heads_.reset();  // More of another log of this device's may have come, too.
  ticked_in_ = 0;
  WRACKLINE_TRY_VALUE(last, last_stamp(keystore_.public_key()));
  HybridClock clock(last);
  if (!clock.observe(remote, wall_clock_()) || clock.last() == last) return {};
  Bytes value;
  append_le(value, clock.last().value, 8);
  return store_.set_meta(kClock, value);
}

Result<ChangeId> Author::add(Batch& batch, LogClass log_class, Change change, std::optional<WallMs> entered) {
  if (batch.log == nullptr) {
    WRACKLINE_TRY_VALUE(log, own_.open(log_class));
    batch.log = log;
    batch.first = batch.next = log->head.seq + 1;
    WRACKLINE_TRY_VALUE(walk, store_.logs().walk_at(*log, log->head.seq));
    batch.walk = std::move(walk);
    const bool is_in_step = ticked_in_ == store_.last_write() || clock_heads_ == own_.heads();
    if (!is_in_step) {
      WRACKLINE_TRY_VALUE(last, last_stamp(keystore_.public_key()));
      clock_ = HybridClock(last);
    }
  }
  const WallMs wall = wall_clock_();
  change.stamp = clock_.tick(wall);
  clock_heads_.reset();  // In step again only when this batch is durable.
  ticked_in_ = store_.last_write();
  const WallMs at = entered.value_or(wall);
  change.wall_behind_ms = change.stamp.ms() > at ? change.stamp.ms() - at : 0;
  const Bytes bytes = write_change(change);
  if (bytes.size() > kChangeBytesMax) {
    return fail(ErrorCode::kTooLarge, "writing a change: it is over 256 KiB; nothing was logged; make it smaller");
  }
  if (!batch.run.has_room_for(bytes.size())) WRACKLINE_TRY(flush(batch));
  if (batch.walk.needs_seed()) {
    BlockSeed seed{};
    WRACKLINE_TRY_VALUE(random, random_(seed.size()));
    (void)copy_exactly(random, seed);
    batch.walk.give_seed(block_of(batch.next - 1), seed);
  }
  batch.run.append(bytes);
  batch.walk.step(bytes);
  return ChangeId{batch.log->id, batch.next++};
}

Status Author::flush(Batch& batch) {
  if (batch.run.empty()) return {};
  const auto count = static_cast<std::uint32_t>(batch.run.size());
  WRACKLINE_TRY(store_.logs().append(*batch.log, count < kPackedAtOnceMin ? pack_run_plain(batch.run) : pack_run(batch.run), count, batch.walk));
  batch.written.push_back(std::exchange(batch.run, ChangeRun()));
  return {};
}

Status Author::put(Batch& batch) {
  WRACKLINE_TRY(flush(batch));
  own_.note_written(batch.log->id);
  Seq seq = batch.first;
  for (const ChangeRun& run : batch.written) {
    for (std::size_t i = 0; i < run.size(); ++i) {
      // Read back from the bytes: what is applied here is what every other replica will read.
      WRACKLINE_TRY_VALUE(change, read_change(run[i]));
      WRACKLINE_TRY(store_.records().apply(place_of(batch.log->no, seq++), change));
    }
  }
  return batch.log->head.seq - batch.log->sealed >= kTailMax ? seal_tail(*batch.log) : Status();
}

Status Author::commit(Store::Write& write) {
  auto heads = own_.heads();
  const std::uint64_t number = write.number();
  const Status committed = write.commit();
  if (!committed && !planted("acknowledge-before-commit")) return committed;
  // One that wrote no change of this device says nothing of how far its stamps go.
  if (ticked_in_ == number) clock_heads_ = std::move(heads);
  own_.raise_fence();
  return {};
}

Result<Roles> Author::roles_of(RecordId by) {
  if (!by) return ~Roles{0};
  const std::uint64_t at = store_.records().changes_of(Kind::kPerson);
  if (known_roles_.at == at && known_roles_.by == by) return known_roles_.roles;
  WRACKLINE_TRY_VALUE(state, store_.records().load(store_.logs().find_place(by)));
  if (!state || state->kind != static_cast<std::uint32_t>(Kind::kPerson)) {
    return fail(ErrorCode::kInvalid, "writing: the person signed in is not known here; nothing was logged; sign in anew");
  }
  known_roles_ = {at, by, roles_of_person(state->fields)};
  return known_roles_.roles;
}

namespace {

// A birth that sets nothing which asks for another role than its kind does.
bool is_plain_birth(const KindRow& row, ByteView fields) {
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number == row.approval_field || (is_built_in(field.number) && field.number != kConfirmationField)) return false;
  }
  return true;
}

Unexpected refuse_without_role(const std::string& doing, const std::string& needed) {
  return fail(ErrorCode::kUnauthorized, doing + ": this is for " + needed +
                                            ", which the person signed in is not; nothing was logged; ask one, or have an admin give the role");
}

}  // namespace

Result<std::vector<RecordId>> Author::log_records(RecordId by, const std::vector<NewRecord>& records) {
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  WRACKLINE_TRY_VALUE(ids, log_records_in(by, records));
  if (!ids.empty()) WRACKLINE_TRY(commit(write));
  return ids;
}

Result<ChangeId> Author::edit(RecordId by, Edit edit) {
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  WRACKLINE_TRY_VALUE(id, edit_in(by, std::move(edit)));
  WRACKLINE_TRY(commit(write));
  return id;
}

Status Author::judge_record(RecordId by, const Roles& roles, const NewRecord& record, ByteView fields, std::size_t index,
                            std::uint32_t& allowed_kind, RecordProblems& broken) {
  const KindRow* row = find_kind(record.kind);
  if (row == nullptr) {
    return fail(ErrorCode::kInvalid, "logging a record: this release knows no kind " + std::to_string(record.kind) + "; nothing was logged");
  }
  Problems problems;
  row->validate(fields, problems);
  if (must_be_another(record.kind) && by && named_in_word(record.kind, fields) == by) {
    problems.push_back({ProblemCode::kOwnWitness, word_field(record.kind), {}});
  }
  for (Problem& problem : problems) broken.push_back({index, record.kind, std::move(problem)});
  // Most records of a batch are of one kind, and plain.
  const bool is_plain = is_plain_birth(*row, fields);
  if (by && !(is_plain && record.kind == allowed_kind)) {
    std::string needed;
    if (!may(roles, act_of(record.kind, true, by, fields, {}), needed)) return refuse_without_role("logging " + one_of(*row), needed);
    if (is_plain) allowed_kind = record.kind;
  }
  return {};
}

Status Author::judge(RecordId by, const std::vector<NewRecord>& records, RecordProblems& broken) {
  WRACKLINE_TRY_VALUE(roles, roles_of(by));
  std::uint32_t allowed_kind = 0;
  std::vector<RecordId> ids;
  Bytes linked;
  for (std::size_t i = 0; i < records.size(); ++i) {
    WRACKLINE_TRY_VALUE(fields, linked_fields(records[i], ids, linked));
    WRACKLINE_TRY(judge_record(by, roles, records[i], fields, i, allowed_kind, broken));
    ids.push_back(kSomeRecord);
  }
  return {};
}

Result<std::vector<RecordId>> Author::log_records_in(RecordId by, const std::vector<NewRecord>& records, RecordProblems* told) {
  WRACKLINE_TRY_VALUE(roles, roles_of(by));
  std::uint32_t allowed_kind = 0;
  std::map<LogClass, Batch> batches;
  std::vector<RecordId> ids;
  RecordProblems broken;
  Bytes linked;
  for (std::size_t i = 0; i < records.size(); ++i) {
    const NewRecord& record = records[i];
    WRACKLINE_TRY_VALUE(fields, linked_fields(record, ids, linked));
    WRACKLINE_TRY(judge_record(by, roles, record, fields, i, allowed_kind, broken));
    Change change;
    change.kind = record.kind;
    change.author = by;
    change.fields = fields;
    change.reason = record.reason;
    const LogClass log_class = log_class_of(find_kind(record.kind));
    WRACKLINE_TRY_VALUE(id, add(batches[log_class], log_class, std::move(change)));
    ids.push_back(id);
  }
  if (!broken.empty()) {
    const std::string sentences = sentences_of(broken, records.size() > 1);
    if (told != nullptr) *told = std::move(broken);
    return invalid("logging", sentences);
  }
  for (auto& [log_class, batch] : batches) WRACKLINE_TRY(put(batch));
  return ids;
}

Result<std::vector<Replaced>> Author::replaced_by(const Edit& edit, const Folded& history) {
  std::vector<Replaced> out;
  const auto name = [&out](const FoldInput& input, std::uint32_t field) {
    auto same = std::find_if(out.begin(), out.end(), [&](const Replaced& r) { return r.change == input.id; });
    if (same == out.end()) {
      out.push_back({input.id, input.check, {}});
      same = out.end() - 1;
    }
    same->fields.push_back(field);
  };
  // A value that was not on the screen stays: it then disagrees with what the person wrote unknowingly.
  const auto was_seen = [&edit](const FoldInput& input, std::uint32_t field) {
    return !edit.seen || std::any_of(edit.seen->begin(), edit.seen->end(), [&](const Replaced& s) {
      return s.change == input.id && std::find(s.fields.begin(), s.fields.end(), field) != s.fields.end();
    });
  };
  const std::set<std::uint32_t> given = fields_of(edit);
  const bool speaks_of_all = given.count(kStandingField) != 0;
  bool replaces_a_value = false;
  for (const auto& [number, field] : history.fields) {
    const bool is_given = given.count(number) != 0;
    if (is_given && field.in_disagreement() && !edit.settle) {
      return fail(ErrorCode::kDisagreement,
                  "editing a record: field " + std::to_string(number) +
                      " has values that disagree; nothing was changed; look at them and settle the disagreement");
    }
    if (!is_given && !speaks_of_all && number != kStandingField) continue;
    for (const Assignment& assignment : field.assignments) {
      const FoldInput& input = history.inputs[assignment.input];
      if (!assignment.head || !was_seen(input, number)) continue;
      // A birth was seen by everybody; naming it matters only where its value is replaced.
      if (!is_given && input.change.is_birth()) continue;
      // A confirmation is given with another field, whose value may well be its first.
      replaces_a_value =
          replaces_a_value || (is_given && number != kConfirmationField && !assignment.slice.empty());
      name(input, number);
    }
  }
  if (replaces_a_value && edit.reason.empty()) {
    return fail(ErrorCode::kInvalid, "editing a record: a value that stands is to be replaced, which needs a reason; nothing was changed");
  }
  return out;
}

Result<ChangeId> Author::edit_in(RecordId by, Edit edit, RecordProblems* told) {
  WRACKLINE_TRY_VALUE(roles, roles_of(by));
  WireReader reader(edit.fields);
  WireField field;
  while (reader.next(field)) {
  }
  std::set<std::uint32_t> numbers = fields_of(edit);
  if (!reader.ok() || numbers.empty()) {
    return fail(ErrorCode::kInvalid, "editing a record: no field is given a value; nothing was changed");
  }
  const Place place = store_.logs().find_place(edit.record);
  WRACKLINE_TRY_VALUE(state, store_.records().load(place));
  if (!state || state->kind == 0) {
    return fail(ErrorCode::kNotFound, "editing record " + to_text(edit.record) + ": it is not held here; nothing was changed; exchange first");
  }
  const KindRow* row = find_kind(state->kind);
  const Act act = act_of(state->kind, false, by, edit.fields, edit.clears);
  std::string needed;
  if (by && !edit.is_of_hub && !may(roles, act, needed)) {
    return refuse_without_role("changing " + (row == nullptr ? "a record" : one_of(*row)), needed);
  }
  const bool is_of_content = std::any_of(numbers.begin(), numbers.end(), [](std::uint32_t n) { return !is_built_in(n); });
  // This holds where there is no approval yet, too: somebody may be giving one elsewhere right now, to what they
  // see there.
  if (row != nullptr && row->approval_field != 0 && is_of_content && numbers.insert(row->approval_field).second) {
    edit.clears.push_back(row->approval_field);
  }
  std::vector<Replaced> replaced;
  RecordId born_by;
  {
    // Let go of before the edit is applied, so that it can join what is kept of the record at hand.
    WRACKLINE_TRY_VALUE(history, store_.records().history(place));
    WRACKLINE_TRY_VALUE(found, replaced_by(edit, history->folded));
    replaced = std::move(found);
    for (const FoldInput& input : history->folded.inputs) {
      if (input.change.is_birth()) born_by = input.change.author;
    }
  }

  // The rules of the kind judge the record as it would be. Striking or folding a record that breaks one is fine.
  if (row != nullptr && is_of_content) {
    Problems problems;
    row->validate(as_edited(state->fields, edit, numbers), problems);
    if (act.gives_word && must_be_another(state->kind) && born_by == by) {
      problems.push_back({ProblemCode::kOwnWitness, word_field(state->kind), {}});
    }
    if (!problems.empty()) {
      const std::string sentences = sentences_of(problems);
      if (told != nullptr) {
        for (Problem& problem : problems) told->push_back({0, state->kind, std::move(problem)});
      }
      return invalid("editing " + one_of(*row) + ", record " + to_text(edit.record), sentences);
    }
  }

  Batch batch;
  Change change;
  change.record = edit.record;
  WRACKLINE_TRY_VALUE(record_check, store_.logs().check_of(place));
  change.record_check = record_check;
  change.author = by;
  change.fields = edit.fields;
  change.clears = edit.clears;
  change.replaces = std::move(replaced);
  change.reason = edit.reason;
  WRACKLINE_TRY_VALUE(id, add(batch, log_class_of(row), std::move(change)));
  WRACKLINE_TRY(put(batch));
  return id;
}

Result<SeenArrivals> Author::seen_arrivals() {
  SeenArrivals out;
  Stamp latest;
  for (const auto& [id, log] : store_.logs().all()) {
    if (!log.is_arrivals() || log.branch || log.head.seq == log.base() || !store_.records().hub().speaks(log, log.head.seq)) continue;
    WRACKLINE_TRY_VALUE(bytes, store_.logs().bytes_of(place_of(log.no, log.head.seq)));
    WRACKLINE_TRY_VALUE(change, read_change(bytes));
    if (change.stamp < latest) continue;
    latest = change.stamp;
    out = {id, log.head.seq, log.head.root};
  }
  return out;
}

Status Author::sign(const LogEntry& log, LogSeal& seal) {
  WRACKLINE_TRY_VALUE(seen, seen_arrivals());
  if (!log.is_arrivals()) seal.seen = seen;
  WRACKLINE_TRY_VALUE(signature, keystore_.sign(seal_text(store_.facility(), log.sealed_as(), *log.opening, seal)));
  seal.signature = signature;
  return {};
}

Status Author::seal_tail(LogEntry& own) {
  return store_.logs().seal_tail(own, [this](const LogEntry& log, LogSeal& seal) { return sign(log, seal); });
}

Status Author::note_arrivals() {
  WRACKLINE_TRY(seal_in());
  std::vector<ArrivedSpan> spans;
  for (const auto& [id, log] : store_.logs().all()) {
    if (!log.opening || log.is_arrivals() || log.sealed == log.base()) continue;
    WRACKLINE_TRY_VALUE(told, store_.records().arrivals().told_of(log, store_.records().hub()));
    if (told >= log.sealed) continue;
    WRACKLINE_TRY_VALUE(tree, store_.logs().tree_at(log, log.sealed));
    spans.push_back({id, told + 1, log.sealed, tree.root()});
  }
  if (spans.empty()) return {};
  WRACKLINE_TRY(write_arrival(spans, {}));
  WRACKLINE_TRY_VALUE(log, own_.open(LogClass::kArrivals));
  return seal_tail(*log);
}

Status Author::write_arrival(const std::vector<ArrivedSpan>& spans, std::optional<WallMs> held) {
  const Bytes fields = arrival_fields(spans);
  Batch batch;
  Change change;
  change.kind = kArrivalKind;
  change.fields = fields;
  WRACKLINE_TRY(add(batch, LogClass::kArrivals, std::move(change), held));
  return put(batch);
}

Status Author::take_over_former(bool is_hub) {
  const auto& logs = store_.logs().all();
  const bool is_former = std::any_of(logs.begin(), logs.end(), [&](const auto& each) {
    const LogEntry& log = each.second;
    return log.opening && log.opening->log_class == LogClass::kFormer && !log.seal && (is_hub || log.is_of(keystore_.public_key()));
  });
  WRACKLINE_TRY_VALUE(receipts, store_.former_receipts());
  if (!is_former && receipts.empty()) return {};
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  for (const FormerReceipt& receipt : receipts) {
    const LogEntry* log = is_hub ? store_.logs().find(receipt.log) : nullptr;
    if (log == nullptr || receipt.last > log->head.seq) continue;
    WRACKLINE_TRY_VALUE(told, store_.records().arrivals().told_of(*log, store_.records().hub()));
    if (receipt.last <= told) continue;
    WRACKLINE_TRY_VALUE(tree, store_.logs().tree_at(*log, receipt.last));
    WRACKLINE_TRY(write_arrival({{receipt.log, told + 1, receipt.last, tree.root()}}, receipt.held_ms));
  }
  WRACKLINE_TRY(store_.forget_former_receipts());
  WRACKLINE_TRY(seal_in());
  std::vector<LogId> vouched;
  for (const auto& [id, log] : store_.logs().all()) {
    if (is_hub && log.opening && log.opening->log_class == LogClass::kFormer && !log.seal && log.head.seq > log.base()) vouched.push_back(id);
  }
  for (const LogId id : vouched) {
    WRACKLINE_TRY_VALUE(log, store_.logs().intern(id));
    WRACKLINE_TRY(seal_tail(*log));
  }
  return commit(write);
}

Status Author::seal() {
  WRACKLINE_TRY(store_.refresh());
  if (unsealed().empty()) return {};
  WRACKLINE_TRY_VALUE(write, store_.begin_write());
  WRACKLINE_TRY(seal_in());
  return write.commit();
}

Status Author::seal_in() {
  for (const LogId id : unsealed()) {
    WRACKLINE_TRY_VALUE(entry, store_.logs().intern(id));
    WRACKLINE_TRY(seal_tail(*entry));
  }
  return {};
}

// The own logs; and those this device wrote before it was restored, which nobody else can seal.
std::vector<LogId> Author::unsealed() const {
  std::vector<LogId> out;
  for (const auto& [id, log] : store_.logs().all()) {
    if (log.is_of(keystore_.public_key()) && log.sealed != log.head.seq) out.push_back(id);
  }
  return out;
}

}  // namespace wrackline
