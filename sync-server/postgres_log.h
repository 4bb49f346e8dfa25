// The log that several hub processes share (core/sync/shared_log.h) in a PostgreSQL, 13 or later.
//
// One row a batch, keyed by facility and number, partitioned by facility; one row a facility that says where its sequence
// ends. Appending moves that end by a compare-and-swap in the same statement, so of two hubs one waits for the other's
// row and then finds the end moved; one that is overtaken often holds the row while it decides. Nothing follows from the server's clock or from a sequence of its own. Other hubs
// are told by NOTIFY, which is only a hint: whoever misses it finds the batch at the next look.
//
// Security: TLS 1.3 with a verified server unless the address says otherwise; a password belongs into the
// password file of libpq, not into the address. A server that does not write durably (fsync off) is refused.
//
// Threads: one at a time. Every call may wait for the server, at most for kAnswerMs.
#pragma once

#include <chrono>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "base/ids.h"
#include "sync/shared_log.h"

namespace wrackline {

class PostgresLog : public SharedLog {
 public:
  static constexpr int kConnectSeconds = 5;
  static constexpr int kAnswerMs = 15'000;
  static constexpr int kTurnIdleMs = 10'000;  // Less than kAnswerMs: who waits for the turn is answered.
  static constexpr std::chrono::seconds kRestAfterFailure{2};

  // `where` is a connection URI, postgresql://... Brings the tables to this release's form if they are older or not there.
  // Errors: kInvalid for a bad address or a server that must not be used; kNewerDatabase; kTransport, kStorage.
  static Result<std::unique_ptr<PostgresLog>> open(const std::string& where, const FacilityId& facility);
  ~PostgresLog() override;

  Result<std::vector<Bytes>> read(const SharedEnd& after, std::size_t bytes_max) override;
  Status append(const SharedEnd& after, ByteView batch) override;
  // A transaction that holds the row of the facility's end, for which the others' appends wait. The server ends it when
  // nothing is asked for kTurnIdleMs, so that a hub that hangs keeps nobody for long.
  void take_turn() override;
  void end_turn() override;

  // Readable when a hint may have come, or the connection is gone; -1 while there is none. Another descriptor after
  // connections() has grown.
  int socket() const;
  std::uint64_t connections() const { return connections_; }
  // Whether another hub has said that it appended, since this was asked last; also when the connection was lost.
  bool take_hint();

 private:
  struct Answer;
  struct Parameter {
    Bytes bytes;
    bool is_number = false;  // Eight bytes, big-endian; otherwise bytea.
  };
  PostgresLog(std::string where, const FacilityId& facility);
  Status connect();
  Status ensure_connected();
  Status migrate();
  Result<Answer> ask(const char* what, const char* sql, const std::vector<Parameter>& parameters = {});
  static Parameter number(std::uint64_t value);

  struct Closer {
    void operator()(void* connection) const;
  };
  std::string where_;
  FacilityId facility_;
  std::unique_ptr<void, Closer> connection_;  // PGconn; libpq-fe.h stays in postgres_log.cc.
  std::uint64_t connections_ = 0;
  bool has_turn_ = false;
  std::chrono::steady_clock::time_point no_try_before_{};  // A server that does not answer must not hold up every request.
};

// Whether it is an address of a PostgreSQL at all.
bool is_postgres_address(const std::string& where);

}  // namespace wrackline
