// The connections that are open: how many there may be, and how all of them are told to stop.
//
// Threads: one at a time, but open(), which any may call.
#pragma once

#include <atomic>
#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>

#include "peer_limits.h"

namespace wrackline {

class Connection;

class ConnectionTable {
 public:
  explicit ConnectionTable(const PeerLimits& limits) : limits_(limits) {}

  // A connection's place among the others, given back when the ticket goes. The table outlives its tickets.
  class Ticket {
   public:
    Ticket(Ticket&& other) noexcept : table_(other.table_), group_(std::move(other.group_)) {
      other.table_ = nullptr;
    }
    Ticket& operator=(Ticket&&) = delete;
    ~Ticket();

   private:
    friend class ConnectionTable;
    Ticket(ConnectionTable& table, std::string group) : table_(&table), group_(std::move(group)) {}
    ConnectionTable* table_;
    std::string group_;
  };
  // Nothing when one of the limits is reached.
  std::optional<Ticket> enter(const std::string& peer_group);

  void add(Connection& connection) { connections_.insert(&connection); }
  void remove(Connection& connection) { connections_.erase(&connection); }
  std::size_t open() const { return open_; }

  // Ends connections at rest at once; the others end after the answer they are at.
  void stop_all();
  // Called when the last connection has gone.
  void on_empty(std::function<void()> callback) { on_empty_ = std::move(callback); }

 private:
  PeerLimits limits_;
  std::atomic<std::size_t> open_ = 0;
  std::map<std::string, std::size_t> open_by_group_;
  std::set<Connection*> connections_;
  std::function<void()> on_empty_;
};

}  // namespace wrackline
