// Writes this device's own logs: the only place where changes are made.
//
// Each call is one durable transaction: when it returns, its changes, their place in the chain and what they
// amount to are on the disk. A failed call leaves everything as it was.
//
// Threads: one at a time. Lifetime: store, keystore and clock outlive the Author.
#pragma once

#include <functional>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "log/change.h"
#include "log/change_run.h"
#include "log/seal.h"
#include "model/arrival.h"
#include "model/authority.h"
#include "model/problem.h"
#include "replica/fence.h"
#include "replica/own_logs.h"
#include "store/store.h"

namespace wrackline {

// A record to be.
struct NewRecord {
  // A field that names an earlier record of the same call, whose id is not known yet.
  struct Link {
    std::uint32_t field = 0;
    std::size_t record = 0;  // Index in the call.
  };
  std::uint32_t kind = 0;
  Bytes fields;
  std::vector<Link> links;
  Bytes reason;
};

// A rule that one of the records of a call breaks.
struct RecordProblem {
  std::size_t record = 0;  // Index in the call; 0 for an edit.
  std::uint32_t kind = 0;
  Problem problem;
};
using RecordProblems = std::vector<RecordProblem>;

// New values for some fields of a record.
struct Edit {
  RecordId record;
  Bytes fields;
  std::vector<std::uint32_t> clears;
  Bytes reason;
  // The values the person had on screen; absent: those held now.
  std::optional<std::vector<Replaced>> seen;
  bool settle = false;  // A field in disagreement is meant.
  bool is_of_hub = false;  // The hub itself writes it, for the author: their roles are not asked.
};

// The fields that an edit gives a value to or clears.
std::set<std::uint32_t> fields_of(const Edit& edit);
// A record's merged fields as they are after an edit of `fields`.
Bytes as_edited(ByteView merged, const Edit& edit, const std::set<std::uint32_t>& fields);

class Author {
 public:
  // Without a fence (null) a restored or copied database is told only by the hub. Without a source (empty) they are drawn
  // from the platform's.
  Author(Store& store, Keystore& keystore, std::function<WallMs()> wall_clock, Fence* fence, RandomSource random);

  // See OwnLogs::find(). Errors: kStorage.
  Status find_logs();
  // None until the next write of that class.
  LogId log(LogClass log_class) const { return own_.of(log_class); }
  // The last change of each of the logs it goes on in.
  std::map<LogClass, ChangeId> heads() const { return own_.heads(); }
  bool goes_on_in(LogId log) const { return own_.has(log); }
  // Whether the fence showed that the database was put back: the next writes open other logs.
  bool was_put_back() const { return own_.were_put_back(); }
  PublicKey key() const { return keystore_.public_key(); }
  // Within a Write: the next writes open other logs, since somebody may know these further.
  Status leave_logs_in();
  // The same in a Write of its own, for a database that came back from a backup. Errors: kStorage.
  Status leave_logs();
  // Within a Write of the caller's: this Author's key takes the place of `before`, and its stamps follow on those. Call mark()
  // after the commit. Whatever stands under `before` is to be sealed first.
  Status succeed_in(const PublicKey& before);
  // After a commit of the caller's: tells the fence how far the log has gone that was written last.
  void mark() { own_.raise_fence(); }

  // Logs new records, all or none. `by` is a person's record, or none for what the hub itself writes.
  // Errors: kInvalid (with every rule that is broken), kUnauthorized (not for this person's roles), kTooLarge, kStorage
  // and its kin.
  Result<std::vector<RecordId>> log_records(RecordId by, const std::vector<NewRecord>& records);

  // Errors: kNotFound (no such record here), kInvalid, kUnauthorized, kDisagreement.
  Result<ChangeId> edit(RecordId by, Edit edit);

  // The same within a Write that the caller has begun, and ends with commit(), or gives up when this fails. When it fails since
  // rules are broken, `broken` (if given) has each of them.
  Result<std::vector<RecordId>> log_records_in(RecordId by, const std::vector<NewRecord>& records, RecordProblems* broken = nullptr);
  Result<ChangeId> edit_in(RecordId by, Edit edit, RecordProblems* broken = nullptr);
  // Appends the rules that these records would break, and writes nothing. Errors: those of log_records(), but for broken rules.
  Status judge(RecordId by, const std::vector<NewRecord>& records, RecordProblems& broken);
  // Durable when it returns without an error.
  Status commit(Store::Write& write);

  // After a database was brought over from an earlier form (store/former_logs.h): seals its logs anew, those of this device, and
  // at the hub everybody's, and goes on telling of arrivals where the receipts of that form end. Does nothing otherwise.
  Status take_over_former(bool is_hub);

  // Within a Write of the caller's: the hub seals all that it has written, writes down in its log of arrivals what it holds of
  // any log and has not told of, and seals that.
  Status note_arrivals();

  // Seals what this device has written and not sealed yet, so that it can leave the device. Errors: kKeystore, kStorage and its kin.
  Status seal();
  Status seal_in();  // Within a Write of the caller's.

  // Within a Write of the caller's: follows a stamp from elsewhere, unless it lies too far ahead.
  Status observe_in(Stamp remote);

 private:
  // One write under way: the changes gathered so far and where they will stand.
  struct Batch;
  // `entered`: by its device's clock; absent: now.
  Result<ChangeId> add(Batch& batch, LogClass log_class, Change change, std::optional<WallMs> entered = {});
  Status flush(Batch& batch);
  Status put(Batch& batch);
  Status sign(const LogEntry& log, LogSeal& seal);
  Status seal_tail(LogEntry& own);
  Result<SeenArrivals> seen_arrivals();
  Status write_arrival(const std::vector<ArrivedSpan>& spans, std::optional<WallMs> held);
  std::vector<LogId> unsealed() const;
  Result<Stamp> last_stamp(const PublicKey& key);
  // Judges one new record, whose links are filled in. `allowed_kind` is the last kind that `by` was found to be allowed to log.
  Status judge_record(RecordId by, const Roles& roles, const NewRecord& record, ByteView fields, std::size_t index,
                      std::uint32_t& allowed_kind, RecordProblems& broken);
  // The roles of the person writing; the hub itself (no person) may write anything.
  Result<Roles> roles_of(RecordId by);
  // Finds what the edit replaces, and what its author has seen beside it (see state/fold.h).
  Result<std::vector<Replaced>> replaced_by(const Edit& edit, const Folded& history);

  Store& store_;
  Keystore& keystore_;
  std::function<WallMs()> wall_clock_;
  RandomSource random_;
  OwnLogs own_;
  HybridClock clock_;
  // The heads of the own logs when clock_ was last in step with them.
  std::optional<std::map<LogClass, ChangeId>> clock_heads_;
  std::uint64_t ticked_in_ = 0;  // The Write in which clock_ was read last.
  struct KnownRoles {
    std::uint64_t at = ~0ull;  // Projection::changes_of() then.
    RecordId by;
    Roles roles = 0;
  };
  KnownRoles known_roles_;  // The roles of whoever wrote last.
};

}  // namespace wrackline
