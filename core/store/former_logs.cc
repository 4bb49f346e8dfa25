#include "store/former_logs.h"

#include <algorithm>
#include <map>
#include <optional>

#include "crypto/signing.h"
#include "log/change_run.h"
#include "log/leaf.h"
#include "log/marks.h"
#include "log/seal.h"
#include "store/log_table.h"

namespace wrackline {
namespace {

// The second form:  h(0) = SHA-256("wrackline/log/1" || facility || log || device), h(n) = SHA-256(h(n-1) || change n);
// a seal signs "wrackline/seal/1" || facility || log || seq(4) || h(seq).
Hash former_start(const FacilityId& facility, LogId log, const PublicKey& device) {
  Bytes text = "wrackline/log/1";
  text += view(facility);
  append_le(text, log.value, 8);
  text += view(device);
  return sha256(text);
}

Bytes former_seal_text(const FacilityId& facility, LogId log, Seq seq, const Hash& chain) {
  Bytes text = "wrackline/seal/1";
  text += view(facility);
  append_le(text, log.value, 8);
  append_le(text, seq, 4);
  return text += view(chain);
}

struct FormerLog {
  LogNo no = 0;
  LogId id;
  PublicKey device{};
  LogId sealed_as;
  LogId branch_of;
  Seq branch_after = 0;
  Hash base{};
  bool is_branch() const { return static_cast<bool>(branch_of); }
};

Unexpected not_as_sealed(const FormerLog& log, Seq seq) {
  return fail(ErrorCode::kBadSeal, "bringing the records to this release's form: log " + to_text(log.id) + " is not what its device sealed, up to change " +
                                       std::to_string(seq) + "; nothing was changed; look at it with the release that wrote it (verify), and restore a backup");
}

Unexpected lacks_its_parent(const FormerLog& log) {
  return fail(ErrorCode::kNotFound, "bringing the records to this release's form: log " + to_text(log.id) + " branches off log " +
                                        to_text(log.branch_of) + " behind change " + std::to_string(log.branch_after) +
                                        ", and that is not held here so far; nothing was changed; exchange with the release that wrote these records, "
                                        "then open them again");
}

class BringingOver {
 public:
  explicit BringingOver(Database& database)
      : database_(database),
        rows_(database, "SELECT first,count,chain,seal,codec,body FROM former_segment WHERE first>=? AND first<=? ORDER BY first"),
        put_log_(database, "INSERT INTO log(no,id,opening,start,branch_root,branch_of,branch_first) VALUES(?,?,?,?,?,?,?)"),
        put_run_(database, "INSERT INTO segment(first,count,tree,codec,body,marks) VALUES(?,?,?,?,?,?)"),
        put_block_(database, "INSERT INTO block VALUES(?,?,?)") {}

  Status run() {
    WRACKLINE_TRY(read_facts());
    WRACKLINE_TRY_VALUE(logs, read_logs());
    // A branch begins in the log it leaves.
    std::stable_sort(logs.begin(), logs.end(), [](const FormerLog& a, const FormerLog& b) { return a.is_branch() < b.is_branch(); });
    for (std::size_t left = logs.size() + 1; !logs.empty() && left > 0; --left) {
      std::vector<FormerLog> later;
      for (const FormerLog& log : logs) {
        if (log.is_branch() && trees_.count(log.branch_of) == 0) {
          later.push_back(log);
        } else {
          WRACKLINE_TRY(bring_over(log));
        }
      }
      logs = std::move(later);
    }
    return logs.empty() ? Status() : Status(lacks_its_parent(logs.front()));
  }

 private:
  Status read_facts() {
    Statement get(database_, "SELECT value FROM meta WHERE key='facility'");
    WRACKLINE_TRY_VALUE(row, get.step());
    if (!row || !copy_exactly(get.blob(0), facility_)) {
      return fail(ErrorCode::kMalformed, "bringing the records to this release's form: the database does not say whose it is; nothing was changed");
    }
    Statement pin(database_, "SELECT value FROM meta WHERE key='pin_key'");
    WRACKLINE_TRY_VALUE(has_pin, pin.step());
    if (has_pin) shared_ = Bytes(pin.blob(0));
    return {};
  }

  Result<std::vector<FormerLog>> read_logs() {
    std::vector<FormerLog> out;
    Statement rows(database_, "SELECT no,id,device_key,branch_root,branch_of,branch_after,branch_base FROM former_log");
    for (;;) {
      WRACKLINE_TRY_VALUE(row, rows.step());
      if (!row) return out;
      FormerLog log;
      log.no = rows.integer(0);
      log.id = log.sealed_as = LogId{static_cast<std::uint64_t>(rows.integer(1))};
      if (!copy_exactly(rows.blob(2), log.device)) {  // Known by name only.
        Statement name(database_, "INSERT INTO log(no,id) VALUES(?,?)");
        WRACKLINE_TRY(name.with(log.no, log.id.value).run());
        continue;
      }
      if (!rows.is_null(3)) {
        log.sealed_as = LogId{static_cast<std::uint64_t>(rows.integer(3))};
        log.branch_of = LogId{static_cast<std::uint64_t>(rows.integer(4))};
        log.branch_after = static_cast<Seq>(rows.integer(5));
        (void)copy_exactly(rows.blob(6), log.base);
      }
      out.push_back(log);
    }
  }

  BlockSeed seed_of(LogId log, std::uint32_t block) const {
    Bytes text = "wrackline/former/seed/1";
    text += view(facility_);
    append_le(text, log.value, 8);
    append_le(text, block, 4);
    BlockSeed seed{};
    (void)copy_exactly(view(sha256(text, shared_)).substr(0, seed.size()), seed);
    return seed;
  }

  // The trees of a log at each place where a branch may begin are walked again; branches are rare and short.
  Frontier tree_at(LogId log, Seq seq) {
    TreeWalk walk;
    for (const Bytes& change : changes_of_[log]) {
      if (walk.tree().size() == seq) break;
      step(walk, log, change);
    }
    return walk.tree();
  }

  void step(TreeWalk& walk, LogId root, ByteView change) {
    const std::uint32_t block = block_of(walk.tree().size());
    if (walk.needs_seed()) walk.give_seed(block, seed_of(root, block));
    walk.step(change);
  }

  Status bring_over(const FormerLog& log) {
    Frontier start;
    if (log.is_branch()) {
      start = tree_at(log.branch_of, log.branch_after);
      if (start.size() != log.branch_after) return lacks_its_parent(log);
    }
    TreeWalk walk(start);
    Hash chain = log.is_branch() ? log.base : former_start(facility_, log.id, log.device);
    Seq seq = log.branch_after;
    ChangeRun run;
    std::optional<Hash> first_leaf;
    std::vector<Bytes>& all = changes_of_[log.id];
    if (log.is_branch()) {
      const std::vector<Bytes>& parent = changes_of_[log.branch_of];
      all.assign(parent.begin(), parent.begin() + std::min<std::ptrdiff_t>(log.branch_after, static_cast<std::ptrdiff_t>(parent.size())));
    }
    const auto close = [&]() -> Status {
      if (run.empty()) return {};
      const PackedRun packed = pack_run(run);
      const Bytes tree = walk.tree().bytes(), marks = walk.take_marks();
      const Place first = place_of(log.no, seq - static_cast<Seq>(run.size()) + 1);
      WRACKLINE_TRY(put_run_.with(first, static_cast<std::uint32_t>(run.size()), ByteView(tree), packed.codec, ByteView(packed.body), ByteView(marks)).run());
      run = ChangeRun();
      return {};
    };
    rows_.with(place_of(log.no, 1), place_of(log.no, kSeqMax));
    for (;;) {
      WRACKLINE_TRY_VALUE(row, rows_.step());
      if (!row) break;
      const auto changes = unpack_run(static_cast<std::uint32_t>(rows_.integer(4)), rows_.blob(5), static_cast<std::size_t>(rows_.integer(1)));
      if (!changes || seq_of(rows_.integer(0)) != seq + 1) return not_as_sealed(log, seq + 1);
      for (std::size_t i = 0; i < changes->size(); ++i) {
        const ByteView change = (*changes)[i];
        if (!run.has_room_for(change.size())) WRACKLINE_TRY(close());
        chain = sha256(view(chain), change);
        step(walk, log.sealed_as, change);
        if (!first_leaf) first_leaf = walk.last_leaf();
        run.append(change);
        all.emplace_back(change);
        ++seq;
      }
      Signature seal{};
      const bool is_sealed = copy_exactly(rows_.blob(3), seal);
      if (view(chain) != rows_.blob(2) || (is_sealed && !verify_signature(log.device, former_seal_text(facility_, log.sealed_as, seq, chain), seal))) {
        return not_as_sealed(log, seq);
      }
    }
    rows_.reset();
    WRACKLINE_TRY(close());
    for (const TreeWalk::Block& block : walk.take_blocks()) {
      put_block_.with(place_of(log.no, static_cast<Seq>(block.number * kBlockLeaves + 1)), view(block.seed));
      if (block.root) {
        put_block_.bind(3, view(*block.root));
      } else {
        put_block_.bind(3, nullptr);
      }
      WRACKLINE_TRY(put_block_.run());
    }
    trees_[log.id] = walk.tree();
    return put(log, start, first_leaf.value_or(Hash{}));
  }

  Status put(const FormerLog& log, const Frontier& start, const Hash& first_leaf) {
    LogOpening opening;
    opening.device = log.device;
    opening.log_class = LogClass::kFormer;
    const Bytes opened = to_bytes(opening);
    if (!log.is_branch()) {
      return put_log_.with(log.no, log.id.value, ByteView(opened), nullptr, nullptr, nullptr, nullptr).run();
    }
    const Bytes sized = start.sized_bytes();
    return put_log_
        .with(log.no, log.id.value, ByteView(opened), ByteView(sized), log.sealed_as.value, log.branch_of.value, view(first_leaf))
        .run();
  }

  Database& database_;
  FacilityId facility_{};
  Bytes shared_;  // Between the replicas of the facility.
  std::map<LogId, Frontier> trees_;
  std::map<LogId, std::vector<Bytes>> changes_of_;
  Statement rows_, put_log_, put_run_, put_block_;
};

}  // namespace

Status bring_over_former_logs(Database& database) {
  WRACKLINE_TRY(BringingOver(database).run());
  return database.execute(
      "DROP TABLE former_segment;"
      // Each device goes on in a log of this release's form.
      "DELETE FROM meta WHERE key IN ('own_logs','own_log','hub_vector','fenced');");
}

Result<std::vector<FormerReceipt>> former_receipts(Database& database) {
  std::vector<FormerReceipt> out;
  Statement has(database, "SELECT 1 FROM sqlite_master WHERE name='former_receipt'");
  WRACKLINE_TRY_VALUE(is_there, has.step());
  if (!is_there) return out;
  Statement rows(database, "SELECT l.id,r.place,r.held_ms FROM former_receipt r JOIN log l ON l.no=r.place>>24 ORDER BY r.held_ms,r.place");
  for (;;) {
    WRACKLINE_TRY_VALUE(row, rows.step());
    if (!row) return out;
    out.push_back({LogId{static_cast<std::uint64_t>(rows.integer(0))}, seq_of(rows.integer(1)), static_cast<WallMs>(rows.integer(2))});
  }
}

Status forget_former_receipts(Database& database) {
  return database.execute("DROP TABLE IF EXISTS former_receipt; DROP TABLE IF EXISTS former_log;");
}

}  // namespace wrackline
