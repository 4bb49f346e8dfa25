// The connections that are open: how many there may be, which gives way to a newcomer, and how all of them are told to stop.
//
// Where one of the limits is reached, a newcomer takes the place of a connection in which no device has shown a session and for
// whose peer the hub is waiting. So whoever opens connections and leaves them, from the same address or from many, keeps no device
// out. Which of them gives way is drawn by lot: a newcomer that needs a moment for its handshake then outlives most that come after.
//
// Threads: one at a time, but open(), which any may call.
#pragma once

#include <atomic>
#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <random>
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
  // Nothing when one of the limits is reached and nobody can give way.
  std::optional<Ticket> enter(const std::string& peer_group);

  void add(Connection& connection) { connections_.insert(&connection); }
  void remove(Connection& connection) { connections_.erase(&connection); }
  std::size_t open() const { return open_; }

  // Ends connections at rest at once; the others end after the answer they are at.
  void stop_all();
  // Called when the last connection has gone.
  void on_empty(std::function<void()> callback) { on_empty_ = std::move(callback); }

 private:
  // Among those of this group; of all when it is empty.
  bool make_room(const std::string& peer_group);
  PeerLimits limits_;
  std::atomic<std::size_t> open_ = 0;
  std::minstd_rand lots_;
  std::map<std::string, std::size_t> open_by_group_;
  std::set<Connection*> connections_;
  std::function<void()> on_empty_;
};

}  // namespace wrackline
