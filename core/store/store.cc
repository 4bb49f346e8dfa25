#include "store/store.h"

#include "base/planted.h"
#include "store/schema.h"

namespace wrackline {
namespace {

constexpr const char* kHubKey = "hub_key";
constexpr const char* kOwnLog = "own_log";

}  // namespace

Result<std::unique_ptr<Store>> Store::create(const std::string& path, const FacilityId& facility) {
  if (auto existing = Database::open(path, Database::Mode::kOpen)) {
    return fail(ErrorCode::kStorage, "making a new database: there is a file already; it was left as it is");
  }
  WRACKLINE_TRY_VALUE(database, Database::open(path, Database::Mode::kCreate));
  WRACKLINE_TRY(database->configure());
  std::unique_ptr<Store> store(new Store(std::move(database)));
  {
    WRACKLINE_TRY_VALUE(transaction, Transaction::begin(*store->database_));
    WRACKLINE_TRY(create_schema(*store->database_));
    WRACKLINE_TRY(store->start(facility));
    WRACKLINE_TRY(store->set_meta("facility", view(facility)));
    WRACKLINE_TRY(transaction.commit());
  }
  WRACKLINE_TRY(store->reload());
  return store;
}

Result<std::unique_ptr<Store>> Store::open(const std::string& path) {
  WRACKLINE_TRY_VALUE(database, Database::open(path, Database::Mode::kOpen));
  WRACKLINE_TRY(migrate_schema(*database));
  WRACKLINE_TRY(database->configure());
  std::unique_ptr<Store> store(new Store(std::move(database)));
  FacilityId facility{};
  {
    Statement get(*store->database_, "SELECT value FROM meta WHERE key='facility'");
    WRACKLINE_TRY_VALUE(row, get.step());
    if (!row || !copy_exactly(get.blob(0), facility)) {
      return fail(ErrorCode::kMalformed, "opening the records: the database does not say whose it is; it was left as it is");
    }
  }
  WRACKLINE_TRY(store->start(facility));
  WRACKLINE_TRY(store->reload());
  return store;
}

Status Store::start(const FacilityId& facility) {
  facility_ = facility;
  logs_ = std::make_unique<LogTable>(*database_, facility);
  records_ = std::make_unique<Projection>(*database_, *logs_);
  receipts_ = std::make_unique<ReceiptTable>(*database_);
  get_meta_ = Statement(*database_, "SELECT value FROM meta WHERE key=CAST(? AS TEXT)");
  put_meta_ = Statement(*database_, "INSERT OR REPLACE INTO meta VALUES(CAST(? AS TEXT),?)");
  return {};
}

Status Store::reload() {
  seen_version_ = database_->data_version();
  WRACKLINE_TRY_VALUE(hub, hub_key());
  WRACKLINE_TRY(logs_->reload());
  WRACKLINE_TRY(records_->reload(hub));
  stale_ = false;
  return {};
}

Status Store::refresh() {
  if (!stale_ && database_->data_version() == seen_version_) return {};
  return reload();
}

Result<Store::Write> Store::begin_write() {
  WRACKLINE_TRY_VALUE(transaction, Transaction::begin(*database_));
  WRACKLINE_TRY(refresh());
  return Write(*this, std::move(transaction));
}

Result<Transaction> Store::begin_read() {
  WRACKLINE_TRY_VALUE(transaction, Transaction::begin_reading(*database_));
  WRACKLINE_TRY(refresh());
  return Result<Transaction>(std::move(transaction));
}

Store::Write::~Write() {
  if (store_ == nullptr || planted("keep-caches-on-rollback")) return;
  // Memory only ever follows rows: where none was written it is as before.
  if (store_->database_->rows_written() != rows_written_) store_->stale_ = true;
}

Status Store::Write::commit() {
  WRACKLINE_TRY(store_->records().flush());
  if (store_->before_commit_ && store_->database_->rows_written() != rows_written_) WRACKLINE_TRY(store_->before_commit_());
  WRACKLINE_TRY(transaction_.commit());
  store_ = nullptr;
  return {};
}

Result<std::optional<Bytes>> Store::meta(std::string_view key) {
  WRACKLINE_TRY_VALUE(row, get_meta_.with(key).step());
  std::optional<Bytes> value;
  if (row) value = Bytes(get_meta_.blob(0));
  get_meta_.reset();
  return value;
}

Status Store::set_hub_key(const PublicKey& key) {
  WRACKLINE_TRY(set_meta(kHubKey, view(key)));
  return records_->pin_hub_key(key);
}

Result<std::optional<PublicKey>> Store::hub_key() {
  WRACKLINE_TRY_VALUE(value, meta(kHubKey));
  PublicKey key{};
  if (!value || !copy_exactly(*value, key)) return std::optional<PublicKey>();
  return std::optional<PublicKey>(key);
}

Result<std::optional<LogId>> Store::own_log() {
  WRACKLINE_TRY_VALUE(value, meta(kOwnLog));
  if (!value || value->size() != 8 || load_le(*value) == 0) return std::optional<LogId>();
  return std::optional<LogId>(LogId{load_le(*value)});
}

Status Store::set_own_log(std::optional<LogId> log) {
  Bytes value;
  append_le(value, log ? log->value : 0, 8);
  return set_meta(kOwnLog, value);
}

Status Store::set_meta(std::string_view key, ByteView value) { return put_meta_.with(key, value).run(); }

}  // namespace wrackline
