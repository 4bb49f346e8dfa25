// One database file: the changes, what they amount to, and a few facts about this replica.
//
// Writing goes through a Write, which is one durable transaction: the file and everything kept in memory are
// as before unless commit() succeeded. Another process may use the same file; refresh() takes note of it and
// is called at the start of every operation.
//
// Threads: one at a time.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/ids.h"
#include "base/log_class.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "store/former_logs.h"
#include "store/hub_secrets.h"
#include "store/log_table.h"
#include "store/projection.h"
#include "store/sqlite.h"

namespace wrackline {

class Store {
 public:
  // Errors: see Replica::create and Replica::open.
  static Result<std::unique_ptr<Store>> create(const std::string& path, const FacilityId& facility);
  // A database that another release made, with another table of kinds, has its projections made anew before anything is
  // asked of it: in one transaction, so that whoever ends the program meanwhile finds it as it was. `progress` as in
  // Projection::rebuild(). Where the file may not be written, that is an error (kReadOnly), since what this release would
  // show is not in it.
  static Result<std::unique_ptr<Store>> open(const std::string& path, const Projection::Progress& progress = {});

  const FacilityId& facility() const { return facility_; }
  LogTable& logs() { return *logs_; }
  Projection& records() { return *records_; }
  HubSecrets& hub_secrets() { return *hub_secrets_; }

  // Small named facts: who this replica is, what it last heard from the hub.
  Result<std::optional<Bytes>> meta(std::string_view key);
  Status set_meta(std::string_view key, ByteView value);

  // The hub's key that is pinned: whose word on devices and holds counts, with the keys that follow from it
  // (store/hub_lineage.h). Kept in the database.
  Status set_hub_key(const PublicKey& key);
  Result<std::optional<PublicKey>> hub_key();

  // The key of the device or hub whose database this is; none while it is being made.
  Result<std::optional<PublicKey>> device_key();
  Status set_device_key(const PublicKey& key);

  // The logs that this device writes, one for each class (replica/own_logs.h); none when they turned out to be continued elsewhere.
  Result<std::map<LogClass, LogId>> own_logs();
  Status set_own_logs(const std::map<LogClass, LogId>& logs);

  // See store/former_logs.h.
  Result<std::vector<FormerReceipt>> former_receipts() { return wrackline::former_receipts(*database_); }
  Status forget_former_receipts() { return wrackline::forget_former_receipts(*database_); }

  // Takes note of what another process wrote. Cheap when nothing was.
  Status refresh();

  // One moment's view of the file for as long as it is kept; refreshes too. Nothing may be written meanwhile.
  // Errors: kBusy, kStorage.
  Result<Transaction> begin_read();

  class Write {
   public:
    Write(Write&& other) noexcept
        : store_(other.store_),
          transaction_(std::move(other.transaction_)),
          rows_written_(other.rows_written_),
          number_(other.number_) {
      other.store_ = nullptr;
    }
    Write& operator=(Write&&) = delete;
    ~Write();
    // Durable when it returns without an error.
    Status commit();
    std::uint64_t number() const { return number_; }

   private:
    friend class Store;
    Write(Store& store, Transaction transaction)
        : store_(&store),
          transaction_(std::move(transaction)),
          rows_written_(store.database_->rows_written()),
          number_(++store.writes_begun_) {}
    Store* store_;
    Transaction transaction_;
    std::int64_t rows_written_;  // Before it began.
    std::uint64_t number_;
  };
  // Refreshes too. Errors: kBusy, kReadOnly, kStorage.
  Result<Write> begin_write();
  // Called by each commit() that has written rows, before they are durable; when it fails, so does the commit.
  void before_commit(std::function<Status()> step) { before_commit_ = std::move(step); }
  // The number of the Write that began last.
  std::uint64_t last_write() const { return writes_begun_; }

 private:
  explicit Store(std::unique_ptr<Database> database) : database_(std::move(database)) {}
  Status start(const FacilityId& facility);
  Status reload();
  Result<std::optional<PublicKey>> key_in(const char* name);
  Status renew(const Projection::Progress& progress);

  FacilityId facility_{};
  std::unique_ptr<Database> database_;
  std::unique_ptr<LogTable> logs_;
  std::unique_ptr<Projection> records_;
  std::unique_ptr<HubSecrets> hub_secrets_;
  Statement get_meta_, put_meta_;
  std::function<Status()> before_commit_;
  std::int64_t seen_version_ = 0;
  std::uint64_t writes_begun_ = 0;
  bool stale_ = false;  // A rolled-back write has left memory ahead of the file.
};

}  // namespace wrackline
