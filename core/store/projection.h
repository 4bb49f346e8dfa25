// What the changes amount to: merged records, where to find them, and what a person should look at.
//
// Everything here is made from the changes and can be made anew from them byte for byte. The changes of a
// record may arrive in any order, edits before the birth included; apply() gives the same tables for the same
// set of changes.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <set>
#include <unordered_set>
#include <utility>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "log/change.h"
#include "model/dose_order.h"
#include "model/kinds.h"
#include "state/fold.h"
#include "store/hold_table.h"
#include "store/hub_lineage.h"
#include "store/key_table.h"
#include "store/log_table.h"
#include "store/sqlite.h"

namespace wrackline {

// A record as it stands.
struct RecordState {
  std::uint32_t kind = 0;  // 0: only edits of it have arrived.
  Bytes fields;            // Merged; of a field in disagreement, the displayed value.
  Bytes disagreements;     // See Folded::disagreements().
  bool edited = false;
};

struct ReviewRow {
  ReviewRule rule{};
  Place record = 0;
};

class Projection {
 public:
  Projection(Database& database, LogTable& logs);

  // The hub's key that a person has compared, or that came with enrolment. Until it is known, nobody is the hub.
  Status pin_hub_key(const PublicKey& key);
  // Which keys and logs are the hub's. Follows each record that says so.
  const HubLineage& hub() const { return hub_; }
  // True when a record that was read already counts for the hub now, or no longer does: rebuild() before the commit.
  bool hub_has_moved() const { return hub_has_moved_; }
  // Reads anew what is kept in memory (which records are edited but not yet born, which changes are held, who is the hub).
  Status reload(const std::optional<PublicKey>& pinned_hub_key);

  // Takes in one change whose bytes the log table holds already. Call it once for each, in any order.
  Status apply(Place place, const Change& change);
  // Writes what apply() has gathered; a transaction commits after it.
  Status flush();

  // Makes all projections anew. The caller holds a transaction. Returns how many changes were read.
  Result<std::uint64_t> rebuild();
  // A digest over all projection tables as they stand: equal before and after a rebuild.
  Result<Hash> table_digest();

  // The record at a place, or none.
  Result<std::optional<RecordState>> load(Place record);
  // All changes of a record folded; `inputs` borrow from `storage`, which the caller keeps.
  Result<Folded> history(Place record, std::vector<Bytes>& storage);
  // The edits of a record that have arrived, those out of account too.
  Result<std::vector<Place>> edits_of(Place record) { return edits_.with(record).integers(); }

  // Records of a kind that belong to `subject` (0: to nothing), in the order day, detail, place.
  Result<std::vector<Place>> find(Place subject, Kind kind, Day first_day, Day last_day);
  Result<std::vector<Place>> find_all_subjects(Kind kind, Day first_day, Day last_day);
  // As find(), with the brief fields; for kinds that have some (KindRow::brief).
  Result<std::vector<KeyRow>> find_brief(Place subject, Kind kind, Day first_day, Day last_day);
  Result<std::vector<KeyRow>> find_brief_via(Place subject, Kind via, Kind kind, Day first_day, Day last_day);
  // All that belongs to a record, of every kind; see KeyTable::rows_of().
  Result<std::vector<KeyRow>> find_belonging(Place subject) { return keys_.rows_of(subject); }
  // The changes that touch a record besides its birth, held ones too, ascending.
  Result<std::vector<Place>> edits(Place record) { return edits_.with(record).integers(); }
  // Doses of the order, due at most kDoseOrderDays from `day` on either side, that were given in the wrong order.
  Result<std::vector<DosePair>> doses_out_of_order(Place order, Day day);
  // Records with the key of `record`, itself included, those out of account too.
  Result<std::vector<Place>> same_key(Place record, const RecordState& state);
  Result<std::vector<ReviewRow>> review();

  // Rises with every change to a record of the kind; for callers that keep something derived from such records.
  std::uint64_t changes_of(Kind kind) const { return changes_of_all_ + changes_of_kind_[static_cast<std::size_t>(kind)]; }

  // Changes out of account: kept, and shown nowhere but among the held ones.
  const HoldTable& holds() const { return holds_; }
  // Holds a change that is still to be applied; the hold record must follow in the same transaction.
  void hold_next(Place change) { holds_.expect(change); }
  // Ends that: what is among `changes` is applied after all; the others wait for their hold records.
  Status take_in(const std::vector<Place>& changes);

  // Canonical digest of the folded state: the same on every replica that holds the same changes.
  struct StateDigest {
    Hash sha256{};
    std::uint64_t records = 0;
  };
  Result<StateDigest> state_digest();

 private:
  struct Keyed {
    Key key;
    Bytes brief;
  };
  Result<Keyed> key_of(std::uint32_t kind, ByteView fields);
  Status insert_key(const Key& key, Place record, Bytes brief);
  // `just_born`: edits of it came before its birth, so it has no key yet.
  Status refold(Place record, bool just_born);
  Status apply_birth(Place place, const Change& change);
  Status put_birth(Place place, const Change& change);
  Status read_hub();
  Status read_hub_from_logs();
  void follow_hub(HubLineage next);
  void note_kind(std::uint32_t kind);
  // After a hold record has changed: takes what it names out of account or back in.
  Status heed_hold(Place hold);
  Status turn(Place change);
  // Of a record that leaves this key: held, unborn again, or moved to another.
  Status take_out_of_key(const Key& key, Place record);
  Status review_group(const Key& key);
  // A dose of this key has come, gone or changed: its neighbours are judged anew by flush(), once for all that a merge
  // brings.
  void note_dose(const Key& key);
  Status review_doses(Place order, Day day);
  Status set_review(ReviewRule rule, Place record, bool wanted);

  Database& database_;
  LogTable& logs_;
  std::unordered_set<Place> unborn_;
  std::set<std::pair<Place, Day>> doses_to_judge_;  // By order and due day.
  std::uint64_t changes_of_all_ = 0;
  std::array<std::uint64_t, kKindsMax> changes_of_kind_{};
  std::optional<PublicKey> pinned_;
  HubLineage hub_;
  bool hub_has_moved_ = false;
  bool is_rebuilding_ = false;  // Births of holds, before all others.
  bool is_hub_known_ = false;   // Read ahead of the births that say so.
  KeyTable keys_;
  HoldTable holds_;
  Statement insert_edit_, edits_, record_, put_record_, insert_review_, delete_review_, review_;
};

}  // namespace wrackline
