// This file says what the changes amount to: merged records, where to find them, and what a person should look at.
//
// Everything here is made from the changes and can be made anew from them byte for byte. The changes of a
// record may arrive in any order, edits before the birth included; apply() gives the same tables for the same
// set of changes.
#pragma once

#include <array>
#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <memory>
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
#include "store/arrival_table.h"
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

// The changes of a record in account, with the bytes that they point into.
struct FoldedHistory {
  std::deque<Bytes> bytes;
  std::size_t size = 0;  // The bytes of all of them.
  Folded folded;
  // The check of the birth, in account or not; absent when it is not here.
  std::optional<std::uint32_t> birth_check;
};

struct ReviewRow {
  ReviewRule rule{};
  Place record = 0;
};

// Tells by which table of kinds projections are made (model/kinds.h).
Bytes projection_mark();

class Projection {
 public:
  Projection(Database& database, LogTable& logs);

  // The hub's key that a person has compared, or that came with enrolment. Until it is known, nobody is the hub.
  Status pin_hub_key(const PublicKey& key);
  // The keys and logs that are the hub's. Follows each record that says so.
  const HubLineage& hub() const { return hub_; }
  // True when a record that was read already counts for the hub now, or no longer does: rebuild() before the commit.
  bool hub_has_moved() const { return hub_has_moved_; }
  // Reads anew what is kept in memory (which records are edited but not yet born, which changes are held, who is the hub).
  Status reload(const std::optional<PublicKey>& pinned_hub_key);

  // Takes in one change whose bytes the log table holds already. Call it once for each, in any order. A record is folded
  // when something is asked, or by flush(): once, however many of its changes have come meanwhile.
  Status apply(Place place, const Change& change);
  // Writes what apply() has gathered; a transaction commits after it.
  Status flush();
  // Lets go of what waits for flush(): its transaction was given up. reload() is needed before anything else is asked.
  void drop_pending();

  // Makes all projections anew. The caller holds a transaction. Returns how many changes were read. `progress` is called
  // now and then with changes read and changes in all.
  using Progress = std::function<void(std::uint64_t, std::uint64_t)>;
  Result<std::uint64_t> rebuild(const Progress& progress = {});
  // A digest over all projection tables as they stand: equal before and after a rebuild.
  Result<Hash> table_digest();

  // The record at a place, or none.
  Result<std::optional<RecordState>> load(Place record);
  // All changes of a record in account, folded. The last few are kept, and the next edit joins them unless somebody holds
  // on to one.
  Result<std::shared_ptr<const FoldedHistory>> history(Place record);
  // The edits of a record that have arrived, those out of account too.
  Result<std::vector<Place>> edits_of(Place record) { return edits_.with(record).integers(); }

  // Records of a kind that belong to `subject` (0: to nothing), in the order day, detail, place.
  Result<std::vector<Place>> find(Place subject, Kind kind, Day first_day, Day last_day);
  Result<std::vector<Place>> find_all_subjects(Kind kind, Day first_day, Day last_day);
  // Finds what find() does, with the brief fields; for kinds that have some (KindRow::brief).
  Result<std::vector<KeyRow>> find_brief(Place subject, Kind kind, Day first_day, Day last_day);
  Result<std::vector<KeyRow>> find_brief_via(Place subject, Kind via, Kind kind, Day first_day, Day last_day);
  // All that belongs to a record, of every kind; see KeyTable::rows_of().
  Result<std::vector<KeyRow>> find_belonging(Place subject);
  // The changes that touch a record besides its birth, held ones too, ascending.
  Result<std::vector<Place>> edits(Place record) { return edits_.with(record).integers(); }
  // Doses of the order, due at most kDoseOrderDays from `day` on either side, that were given in the wrong order.
  Result<std::vector<DosePair>> doses_out_of_order(Place order, Day day);
  // Records with the key of `record`, itself included, those out of account too.
  Result<std::vector<Place>> same_key(Place record, const RecordState& state);
  Result<std::vector<ReviewRow>> review();

  // Rises with every change to a record of the kind; for callers that keep something derived from such records.
  std::uint64_t changes_of(Kind kind) const { return changes_of_all_ + changes_of_kind_[static_cast<std::size_t>(kind)]; }

  // When the hub came to hold what.
  ArrivalTable& arrivals() { return arrivals_; }

  // Changes out of account: kept, and shown nowhere but among the held ones.
  const HoldTable& holds() const { return holds_; }
  // Records whose births have come since this was asked last, after edits of them.
  std::vector<Place> take_births_after_edits() { return std::exchange(awaited_, {}); }

  // How often all changes of a record were read and folded, and a group with one key was judged; for tests.
  std::uint64_t folds() const { return folds_; }
  std::uint64_t groups_judged() const { return groups_judged_; }

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
  Status insert_key(const Key& key, Place record, Bytes brief, ByteView fields);
  static bool counts_at_all(Place edit, Place record);
  bool is_arrival(Place place) const;
  // The record that an edit means: of a log that was continued twice, the one whose birth has the leaf that the edit names.
  Result<Place> record_of(const Change& edit);
  // Edits that came before this birth of a branch and mean it, though they name the log it leaves.
  Status claim_edits(Place birth);
  Status fold_early_edits(Place place);
  Status apply_birth(Place place, const Change& change);
  Status put_birth(Place place, const Change& change);
  // Heeds holds and folds records of which changes have come or turned. Whatever is asked of the tables begins with it.
  Status settle();
  Status fold_later(Place record);
  Status refold(Place record);
  Result<std::uint32_t> kind_of(Place record);
  Result<std::optional<RecordState>> as_projected(Place record);
  Result<std::shared_ptr<FoldedHistory>> read_history(Place record);
  Result<std::optional<FoldInput>> read_input(Place record, Place place, FoldedHistory& history);
  Status join_history(Place record, Place edit);
  Status note_hub_key(Place place, const Change& birth);
  Status read_hub();
  Status read_hub_from_logs();
  void follow_hub(HubLineage next);
  void note_kind(std::uint32_t kind);
  bool is_of_hub(Place place) const;
  Status add_hold(Place hold, const Change& birth);
  // After a hold record has changed: takes what it names out of account or back in.
  Status apply_hold(Place hold);
  // After a change has come into account or gone out of it.
  Status reproject_change(Place change);
  // Takes out a record that leaves this key: held, unborn again, or moved to another.
  Status take_out_of_key(const Key& key, Place record);
  // Whether records that share the key are compared.
  static bool is_judged(const Key& key);
  Status review_group(const Key& key);
  // A dose of this key has come, gone or changed: its neighbours are judged anew by flush(), once for all that a merge
  // brings.
  void note_dose(const Key& key);
  Status review_doses(Place order, Day day);
  Status set_review(ReviewRule rule, Place record, bool wanted);

  Database& database_;
  LogTable& logs_;
  static constexpr std::size_t kHistoriesMost = 8;
  static constexpr std::size_t kHistoryBytesMost = 1 << 20;


  std::unordered_set<Place> unborn_;  // Records with a row and without a key: only edits of them are in account.
  std::vector<Place> awaited_;
  std::unordered_set<Place> to_fold_;
  std::set<HoldOrder> holds_to_apply_;
  std::set<Key> groups_to_judge_;
  std::set<std::pair<Place, Day>> doses_to_judge_;  // The order and the due day of each.
  std::map<Place, std::shared_ptr<FoldedHistory>> histories_;
  std::uint64_t folds_ = 0;
  std::uint64_t groups_judged_ = 0;
  std::uint64_t changes_of_all_ = 0;
  std::array<std::uint64_t, kKindsMax> changes_of_kind_{};
  std::optional<PublicKey> pinned_;
  HubLineage hub_;
  bool hub_has_moved_ = false;
  bool is_settling_ = false;
  bool is_rebuilding_ = false;  // The hub is read ahead of the births that say who it is.
  KeyTable keys_;
  HoldTable holds_;
  ArrivalTable arrivals_;
  Statement hub_keys_, insert_hub_key_, insert_edit_, delete_edit_, delete_record_, edits_, record_, put_record_, insert_review_, delete_review_, review_;
};

}  // namespace wrackline
