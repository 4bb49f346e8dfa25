#include "postgres_log.h"

#include <libpq-fe.h>

#include <array>
#include <utility>

namespace wrackline {
namespace {

// Each brings the tables one form further, all under one lock; never changed once released.
constexpr const char* kForms[] = {
    R"sql(
CREATE TABLE wrackline.log_end (
  facility bytea PRIMARY KEY,
  batches  bigint NOT NULL,
  chain    bytea NOT NULL      -- SHA-256 over the batches, see core/sync/shared_log.h
);
CREATE TABLE wrackline.batch (
  facility bytea NOT NULL,
  number   bigint NOT NULL,    -- From 1, without gaps.
  chain    bytea NOT NULL,     -- At its end.
  body     bytea NOT NULL,     -- SharedBatch of proto/exchange.proto; compressed already.
  appended timestamptz NOT NULL DEFAULT clock_timestamp(),  -- For people; nothing follows from it.
  PRIMARY KEY (facility, number)
) PARTITION BY HASH (facility);
ALTER TABLE wrackline.batch ALTER COLUMN body SET STORAGE EXTERNAL;
DO $$ BEGIN
  FOR i IN 0..15 LOOP
    EXECUTE format('CREATE TABLE wrackline.batch_%s PARTITION OF wrackline.batch FOR VALUES WITH (MODULUS 16, REMAINDER %s)', i, i);
  END LOOP;
END $$;
)sql"};
constexpr int kForm = static_cast<int>(std::size(kForms));


Bytes big_endian(std::uint64_t value) {
  Bytes out(8, '\0');
  for (int i = 7; i >= 0; --i, value >>= 8) out[static_cast<std::size_t>(i)] = static_cast<char>(value & 0xff);
  return out;
}

std::string first_line(const char* text) {
  const std::string_view all = text == nullptr ? "" : text;
  return std::string(all.substr(0, all.find('\n')));
}

Unexpected unreachable(const std::string& doing, const std::string& why) {
  return fail(ErrorCode::kTransport, doing + ": the PostgreSQL of the shared log cannot be reached or gave up (" + why +
                                         "); nothing was changed here; devices keep what they have and come again; "
                                         "see whether it runs, and whether this hub may connect");
}

}  // namespace

struct PostgresLog::Answer {
  std::unique_ptr<PGresult, void (*)(PGresult*)> result{nullptr, PQclear};
  int rows() const { return PQntuples(result.get()); }
  ByteView bytes(int row, int column) const {
    return {PQgetvalue(result.get(), row, column), static_cast<std::size_t>(PQgetlength(result.get(), row, column))};
  }
};

bool is_postgres_address(const std::string& where) {
  return where.rfind("postgresql://", 0) == 0 || where.rfind("postgres://", 0) == 0;
}

void PostgresLog::Closer::operator()(void* connection) const { PQfinish(static_cast<PGconn*>(connection)); }

PostgresLog::PostgresLog(std::string where, const FacilityId& facility) : where_(std::move(where)), facility_(facility) {}
PostgresLog::~PostgresLog() = default;

PostgresLog::Parameter PostgresLog::number(std::uint64_t value) { return {big_endian(value), true}; }

Result<std::unique_ptr<PostgresLog>> PostgresLog::open(const std::string& where, const FacilityId& facility) {
  if (!is_postgres_address(where)) {
    return fail(ErrorCode::kInvalid, "opening the shared log: its address has to begin with postgresql://; nothing was changed");
  }
  std::unique_ptr<PostgresLog> log(new PostgresLog(where, facility));
  WRACKLINE_TRY(log->connect());
  return log;
}

Status PostgresLog::connect() {
  connection_.reset();
  has_turn_ = false;
  const auto now = std::chrono::steady_clock::now();
  if (now < no_try_before_) return unreachable("connecting to the shared log", "it could not be reached a moment ago");
  no_try_before_ = now + kRestAfterFailure;
  // The settings in the address go before those above.
  const std::string timeout = std::to_string(kConnectSeconds);
  const std::array<const char*, 10> names{"application_name", "connect_timeout", "target_session_attrs", "sslmode", "ssl_min_protocol_version",
                                          "gssencmode", "keepalives_idle", "tcp_user_timeout", "dbname", nullptr};
  const std::string user_timeout = std::to_string(kAnswerMs);
  const std::array<const char*, 10> values{"wrackline-server", timeout.c_str(), "read-write", "verify-full", "TLSv1.3",
                                           "disable", "10", user_timeout.c_str(), where_.c_str(), nullptr};
  std::unique_ptr<void, Closer> made(PQconnectdbParams(names.data(), values.data(), 1));
  auto* connection = static_cast<PGconn*>(made.get());
  if (PQstatus(connection) != CONNECTION_OK) return unreachable("connecting to the shared log", first_line(PQerrorMessage(connection)));
  PQsetNoticeProcessor(connection, [](void*, const char*) {}, nullptr);
  connection_ = std::move(made);
  ++connections_;
  const Status ready = [&]() -> Status {
    WRACKLINE_TRY(ask("setting up the connection", ("SET statement_timeout=" + std::to_string(kAnswerMs)).c_str()));
    WRACKLINE_TRY_VALUE(durable, ask("asking how it writes", "SELECT current_setting('fsync')"));
    if (durable.rows() != 1 || durable.bytes(0, 0) != "on") {
      return fail(ErrorCode::kInvalid, "opening the shared log: that PostgreSQL does not write durably (fsync is off), so what devices are told is "
                                       "kept could be lost; nothing was changed; set fsync=on, or name another");
    }
    WRACKLINE_TRY(ask("asking for durable commits",
                      "SELECT set_config('synchronous_commit', 'on', false) WHERE current_setting('synchronous_commit') IN ('off', 'local')"));
    WRACKLINE_TRY(migrate());
    WRACKLINE_TRY(ask("naming the facility",
                      "INSERT INTO wrackline.log_end(facility, batches, chain) VALUES ($1, 0, decode(repeat('00', 32), 'hex')) ON CONFLICT DO NOTHING",
                      {{Bytes(view(facility_))}}));
    WRACKLINE_TRY(ask("listening", "LISTEN wrackline"));
    return {};
  }();
  if (!ready) connection_.reset();
  if (ready) no_try_before_ = {};
  return ready;
}

Status PostgresLog::ensure_connected() {
  if (connection_ && PQstatus(static_cast<PGconn*>(connection_.get())) == CONNECTION_OK) return {};
  return connect();
}

Status PostgresLog::migrate() {
  const auto form_now = [&]() -> Result<int> {
    WRACKLINE_TRY_VALUE(there, ask("looking for the tables", "SELECT 1 FROM pg_tables WHERE schemaname='wrackline' AND tablename='form'"));
    if (there.rows() == 0) return 0;
    WRACKLINE_TRY_VALUE(form, ask("reading the form of the tables", "SELECT version::text FROM wrackline.form"));
    return form.rows() == 1 ? std::atoi(Bytes(form.bytes(0, 0)).c_str()) : 0;
  };
  WRACKLINE_TRY_VALUE(before, form_now());
  if (before == kForm) return {};
  if (before > kForm) {
    return fail(ErrorCode::kNewerDatabase, "opening the shared log: a newer release made its tables (form " + std::to_string(before) +
                                               ", this release knows " + std::to_string(kForm) + "); they were left untouched; update this hub");
  }
  WRACKLINE_TRY(ask("beginning", "BEGIN"));
  const Status made = [&]() -> Status {
    WRACKLINE_TRY(ask("waiting for other hubs", "SELECT pg_advisory_xact_lock(1465011020)"));  // "WRKL"
    WRACKLINE_TRY_VALUE(form, form_now());
    if (form == 0) {
      WRACKLINE_TRY(ask("making the schema", "CREATE SCHEMA IF NOT EXISTS wrackline"));
      WRACKLINE_TRY(ask("making the tables", "CREATE TABLE IF NOT EXISTS wrackline.form (version integer NOT NULL)"));
      WRACKLINE_TRY(ask("making the tables", "INSERT INTO wrackline.form VALUES (0)"));
    }
    for (int next = form; next < kForm; ++next) WRACKLINE_TRY(ask("making the tables", kForms[next]));
    WRACKLINE_TRY(ask("noting the form", ("UPDATE wrackline.form SET version=" + std::to_string(kForm)).c_str()));
    WRACKLINE_TRY(ask("ending", "COMMIT"));
    return {};
  }();
  if (!made) (void)ask("giving up", "ROLLBACK");
  return made;
}

Result<PostgresLog::Answer> PostgresLog::ask(const char* what, const char* sql, const std::vector<Parameter>& parameters) {
  auto* connection = static_cast<PGconn*>(connection_.get());
  Answer answer;
  if (parameters.empty()) {
    answer.result.reset(PQexec(connection, sql));  // May hold several statements.
  } else {
    constexpr Oid kInt8 = 20, kBytea = 17;
    std::vector<Oid> types;
    std::vector<const char*> values;
    std::vector<int> lengths, formats(parameters.size(), 1);
    for (const Parameter& parameter : parameters) {
      types.push_back(parameter.is_number ? kInt8 : kBytea);
      values.push_back(parameter.bytes.data());
      lengths.push_back(static_cast<int>(parameter.bytes.size()));
    }
    answer.result.reset(PQexecParams(connection, sql, static_cast<int>(parameters.size()), types.data(), values.data(), lengths.data(), formats.data(), 1));
  }
  const ExecStatusType status = PQresultStatus(answer.result.get());
  if (status == PGRES_TUPLES_OK || status == PGRES_COMMAND_OK) return Result<Answer>(std::move(answer));
  const char* state = PQresultErrorField(answer.result.get(), PG_DIAG_SQLSTATE);
  const std::string doing = std::string("using the shared log, ") + what;
  const std::string why = first_line(PQresultErrorMessage(answer.result.get()));
  // Class 57 holds shutdowns and time-outs, class 53 a lack of memory, disk or connections, and class 40 conflicts of
  // transactions.
  const std::string_view code = state == nullptr ? "" : state;
  const bool is_gone = PQstatus(connection) != CONNECTION_OK || code.empty();
  if (is_gone || code.substr(0, 2) == "57" || code.substr(0, 2) == "40" || code.substr(0, 2) == "53") {
    if (is_gone) connection_.reset();
    return unreachable(doing, why.empty() ? "the connection was lost" : why);
  }
  return fail(ErrorCode::kStorage, doing + ": PostgreSQL refused it (" + why +
                                       "); nothing was changed; give the hub's role what the README lists, or look into PostgreSQL's own log");
}

Result<std::vector<Bytes>> PostgresLog::read(const SharedEnd& after, std::size_t bytes_max) {
  // The place itself comes first, without its body: whether it is there, with that chain.
  static constexpr const char* kSql =
      "SELECT number, chain, CASE WHEN number > $2 THEN body ELSE ''::bytea END FROM ("
      "SELECT *, sum(octet_length(body)) OVER (ORDER BY number) - octet_length(body) AS before FROM ("
      "SELECT number, chain, body FROM wrackline.batch WHERE facility = $1 AND number >= $2 ORDER BY number LIMIT 1000) page) sized "
      "WHERE before < $3 OR number <= $2 + 1 ORDER BY number";
  Result<Answer> answer = fail(ErrorCode::kTransport, "");
  for (int tries = 0; tries < 2; ++tries) {  // A connection that was closed meanwhile shows here.
    WRACKLINE_TRY(ensure_connected());
    answer = ask("reading on", kSql, {{Bytes(view(facility_))}, number(after.batches), number(bytes_max)});
    if (answer || connection_) break;
  }
  if (!answer) return fail(answer.error());
  const auto no_such_place = [&] {
    return fail(ErrorCode::kFork, "reading the shared log: behind batch " + std::to_string(after.batches) +
                                      " it does not hold what this hub has read there; it was put back, or is another one");
  };
  int row = 0;
  if (after.batches > 0) {
    if (answer->rows() == 0 || answer->bytes(0, 0) != big_endian(after.batches) || answer->bytes(0, 1) != view(after.chain)) return no_such_place();
    row = 1;
  }
  std::vector<Bytes> out;
  SharedEnd end = after;
  for (; row < answer->rows(); ++row) {
    Bytes body(answer->bytes(row, 2));
    end = behind(end, body);
    if (answer->bytes(row, 0) != big_endian(end.batches) || answer->bytes(row, 1) != view(end.chain)) {
      return fail(ErrorCode::kStorage, "reading the shared log: batch " + std::to_string(end.batches) +
                                           " is not what was appended there, or is missing; nothing of it was taken in; "
                                           "restore that PostgreSQL from its backup, the hubs bring it what it then lacks");
    }
    out.push_back(std::move(body));
  }
  return out;
}

Status PostgresLog::append(const SharedEnd& after, ByteView batch) {
  static constexpr const char* kSql =
      "WITH moved AS (UPDATE wrackline.log_end SET batches = $2 + 1, chain = $4 WHERE facility = $1 AND batches = $2 AND chain = $3 RETURNING batches), "
      "added AS (INSERT INTO wrackline.batch(facility, number, chain, body) SELECT $1, batches, $4, $5 FROM moved RETURNING number) "
      "SELECT pg_notify('wrackline', encode($1, 'hex')) FROM added";
  WRACKLINE_TRY(ensure_connected());
  const SharedEnd end = behind(after, batch);
  WRACKLINE_TRY_VALUE(answer, ask("appending", kSql,
                                  {{Bytes(view(facility_))}, number(after.batches), {Bytes(view(after.chain))}, {Bytes(view(end.chain))}, {Bytes(batch)}}));
  if (std::exchange(has_turn_, false)) WRACKLINE_TRY(ask("appending in its turn", "COMMIT"));
  if (answer.rows() == 1) return {};
  return fail(ErrorCode::kBusy, "appending to the shared log: another hub was first; nothing was kept; read on and decide again");
}

void PostgresLog::take_turn() {
  end_turn();
  if (!ensure_connected()) return;
  has_turn_ = true;
  const Status taken = [&]() -> Status {
    WRACKLINE_TRY(ask("beginning its turn", ("BEGIN; SET LOCAL idle_in_transaction_session_timeout=" + std::to_string(kTurnIdleMs)).c_str()));
    WRACKLINE_TRY(ask("waiting for its turn", "SELECT 1 FROM wrackline.log_end WHERE facility = $1 FOR UPDATE", {{Bytes(view(facility_))}}));
    return {};
  }();
  if (!taken) end_turn();
}

void PostgresLog::end_turn() {
  if (!std::exchange(has_turn_, false) || !connection_) return;
  (void)ask("ending its turn", "ROLLBACK");  // It holds nothing: an append ends the turn itself.
}

int PostgresLog::socket() const { return connection_ ? PQsocket(static_cast<PGconn*>(connection_.get())) : -1; }

bool PostgresLog::take_hint() {
  auto* connection = static_cast<PGconn*>(connection_.get());
  if (connection == nullptr) return true;
  if (PQconsumeInput(connection) == 0) {
    connection_.reset();
    return true;
  }
  bool has_come = false;
  const std::string own = to_hex(view(facility_));
  while (PGnotify* hint = PQnotifies(connection)) {
    // One server may hold many facilities, and a hub hears itself too.
    has_come = has_come || (hint->be_pid != PQbackendPID(connection) && own == hint->extra);
    PQfreemem(hint);
  }
  return has_come;
}

}  // namespace wrackline
