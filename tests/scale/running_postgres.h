// A PostgreSQL of the test's own: a fresh cluster in a scratch folder, on a free port of the loopback, with TLS.
#pragma once

#include <string>

#include "child.h"
#include "scratch.h"

namespace wrackline {

class RunningPostgres {
 public:
  RunningPostgres();
  RunningPostgres(const RunningPostgres&) = delete;
  RunningPostgres& operator=(const RunningPostgres&) = delete;

  // Ends the server as a power cut would; what was committed is on the disk.
  void kill();
  void start();
  // Another line of its configuration, heeded by the next start().
  void configure(const std::string& line);
  // Runs SQL by psql; what it printed, trimmed.
  std::string sql(const std::string& text) const;

  // Verified TLS, as a hub is to use it.
  std::string address() const;
  std::string address_without_tls() const;

 private:
  std::string plain_address() const;
  Scratch scratch_;
  std::string programs_, data_;
  std::uint16_t port_ = 0;
  Child server_;
};

}  // namespace wrackline
