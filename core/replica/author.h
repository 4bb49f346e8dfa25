// Writes this device's own log: the only place where changes are made.
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
#include "model/authority.h"
#include "replica/fence.h"
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

// New values for some fields of a record.
struct Edit {
  RecordId record;
  Bytes fields;
  std::vector<std::uint32_t> clears;
  Bytes reason;
  // What the person had on screen; absent: what is held now.
  std::optional<std::vector<Replaced>> seen;
  bool settle = false;  // A field in disagreement is meant.
};

// The fields that an edit gives a value to or clears.
std::set<std::uint32_t> fields_of(const Edit& edit);
// A record's merged fields as they are after an edit of `fields`.
Bytes as_edited(ByteView merged, const Edit& edit, const std::set<std::uint32_t>& fields);

class Author {
 public:
  // Ids of new logs: as many random bytes as are asked for.
  using RandomSource = std::function<Result<Bytes>(std::size_t)>;
  // Without a fence (null) a restored or copied database is told only by the hub. Without a source (empty) ids are drawn
  // from the platform's.
  Author(Store& store, Keystore& keystore, std::function<WallMs()> wall_clock, Fence* fence, RandomSource random);

  // Finds this device's log. Opens one, with a random id unless `fresh` says another, when there is none, when the
  // fence shows that the database was restored or copied, and when the hub has said so. Errors: kKeystore, kStorage.
  Status open_log(std::optional<LogId> fresh = {});
  LogId log() const { return log_; }
  PublicKey key() const { return keystore_.public_key(); }
  // Leaves this device's log where it stands, and goes on in another: for a database that came back from a
  // backup, since others may hold changes of the log that the backup lacks. Errors: kKeystore, kStorage.
  Status change_log();
  // Within a Write of the caller's: opens a log under this Author's key for what was written under `before` until now;
  // its stamps follow on those. Call mark() after the commit. What stands under `before` is to be sealed first.
  Status succeed_in(const PublicKey& before);
  // Tells the fence how far the log has gone.
  void mark() { raise_fence(); }

  // Logs new records, all or none. `by` is a person's record, or none for what the hub itself writes.
  // Errors: kInvalid (with every rule that is broken), kUnauthorized (not for this person's roles), kTooLarge, kStorage
  // and its kin.
  Result<std::vector<RecordId>> log_records(RecordId by, const std::vector<NewRecord>& records);

  // Errors: kNotFound (no such record here), kInvalid, kUnauthorized, kDisagreement.
  Result<ChangeId> edit(RecordId by, Edit edit);

  // The same within a Write that the caller has begun, and ends with commit(), or gives up when this fails.
  Result<std::vector<RecordId>> log_records_in(RecordId by, const std::vector<NewRecord>& records);
  Result<ChangeId> edit_in(RecordId by, Edit edit);
  // Durable when it returns without an error.
  Status commit(Store::Write& write);

  // Seals what this device has written and not sealed yet, so that it can leave the device. Errors: kKeystore, kStorage and its kin.
  Status seal();
  Status seal_in();  // Within a Write of the caller's.

  // Follows a stamp from elsewhere, unless it lies too far ahead.
  Status observe(Stamp remote);

 private:
  // One write under way: the changes gathered so far and where they will stand.
  struct Batch;
  Result<ChangeId> add(Batch& batch, Change change);
  Status flush(Batch& batch);
  Status put(Batch& batch);
  Result<Signature> sign(ChangeId last, const Hash& chain);
  Status seal_tail(LogEntry& own);
  std::vector<LogId> unsealed() const;
  Result<bool> is_behind_fence(LogId own, const std::optional<FencePoint>& point);
  void raise_fence();
  Result<Stamp> last_stamp(const PublicKey& key);
  Status begin_log(LogId fresh);
  Result<LogId> draw_log_id();
  // The roles of the person writing; the hub itself (no person) may write anything.
  Result<Roles> roles_of(RecordId by);
  // What the edit replaces, and what its author has seen beside it (see state/fold.h).
  Result<std::vector<Replaced>> replaced_by(const Edit& edit, const Folded& history);

  Store& store_;
  Keystore& keystore_;
  std::function<WallMs()> wall_clock_;
  Fence* fence_;
  RandomSource random_;
  LogId log_;
  HybridClock clock_;
  Seq clock_seq_ = ~0u;  // The own head when clock_ was last in step with it.
  std::uint64_t ticked_in_ = 0;  // The Write in which clock_ was read last.
  struct KnownRoles {
    std::uint64_t at = ~0ull;  // Projection::changes_of() then.
    RecordId by;
    Roles roles = 0;
  };
  KnownRoles known_roles_;  // Of who wrote last.
};

}  // namespace wrackline
