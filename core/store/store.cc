#include "store/store.h"

#include "base/planted.h"
#include "store/schema.h"

namespace wrackline {
namespace {

constexpr const char* kHubKey = "hub_key";
constexpr const char* kOwnLogs = "own_logs";
constexpr const char* kDeviceKey = "device_key";
constexpr const char* kProjectedBy = "projected_by";  // projection_mark()

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
    WRACKLINE_TRY(store->set_meta(kProjectedBy, projection_mark()));
    WRACKLINE_TRY(transaction.commit());
  }
  WRACKLINE_TRY(store->reload());
  return store;
}

Result<std::unique_ptr<Store>> Store::open(const std::string& path, const Projection::Progress& progress) {
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
  WRACKLINE_TRY(store->renew(progress));
  return store;
}

Status Store::renew(const Projection::Progress& progress) {
  WRACKLINE_TRY_VALUE(made_by, meta(kProjectedBy));
  if (made_by == std::optional<Bytes>(projection_mark()) || planted("another-release-unnoticed")) return {};
  auto begun = begin_write();
  if (!begun && begun.error().code == ErrorCode::kReadOnly) {
    return fail(ErrorCode::kReadOnly,
                "opening the records: another release arranged them, and this one has to arrange them anew, once; the file may not "
                "be written, and was left as it is; open it where it may be");
  }
  WRACKLINE_TRY_VALUE(write, std::move(begun));
  // Another process may have done it meanwhile.
  WRACKLINE_TRY_VALUE(now, meta(kProjectedBy));
  if (now == std::optional<Bytes>(projection_mark())) return {};
  WRACKLINE_TRY(records_->rebuild(progress));
  WRACKLINE_TRY(set_meta(kProjectedBy, projection_mark()));
  return write.commit();
}

Status Store::start(const FacilityId& facility) {
  facility_ = facility;
  logs_ = std::make_unique<LogTable>(*database_);
  records_ = std::make_unique<Projection>(*database_, *logs_);
  hub_secrets_ = std::make_unique<HubSecrets>(*database_);
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
  if (store_->database_->rows_written() == rows_written_) return;
  store_->stale_ = true;
  store_->records().drop_pending();  // Or a question that is asked before the next refresh() would write it by itself.
}

Status Store::Write::commit() {
  WRACKLINE_TRY(store_->records().flush());
  if (store_->before_commit_ && store_->database_->rows_written() != rows_written_) WRACKLINE_TRY(store_->before_commit_());
  WRACKLINE_TRY(transaction_.commit());
  store_->records().take_births_after_edits();
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

Result<std::optional<PublicKey>> Store::key_in(const char* name) {
  WRACKLINE_TRY_VALUE(value, meta(name));
  PublicKey key{};
  if (!value || !copy_exactly(*value, key)) return std::optional<PublicKey>();
  return std::optional<PublicKey>(key);
}

Result<std::optional<PublicKey>> Store::hub_key() { return key_in(kHubKey); }
Result<std::optional<PublicKey>> Store::device_key() { return key_in(kDeviceKey); }
Status Store::set_device_key(const PublicKey& key) { return set_meta(kDeviceKey, view(key)); }

// Kept as a class and an id after the other, 1 and 8 bytes.
Result<std::map<LogClass, LogId>> Store::own_logs() {
  WRACKLINE_TRY_VALUE(value, meta(kOwnLogs));
  std::map<LogClass, LogId> out;
  for (ByteView rest = value ? ByteView(*value) : ByteView(); rest.size() >= 9; rest.remove_prefix(9)) {
    out[static_cast<LogClass>(load_le(rest.substr(0, 1)))] = LogId{load_le(rest.substr(1, 8))};
  }
  return out;
}

Status Store::set_own_logs(const std::map<LogClass, LogId>& logs) {
  Bytes value;
  for (const auto& [log_class, id] : logs) {
    append_le(value, static_cast<std::uint8_t>(log_class), 1);
    append_le(value, id.value, 8);
  }
  return set_meta(kOwnLogs, value);
}

Status Store::set_meta(std::string_view key, ByteView value) { return put_meta_.with(key, value).run(); }

}  // namespace wrackline
