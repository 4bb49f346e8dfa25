// Who waits to hear that the hub holds something new (POST /v1/news).
//
// A device says what it knows the hub to hold by a mark of eight bytes; while that is what the hub holds, its request
// waits. Nothing of the news is in the answer: an exchange brings it. Somebody who is not heard of again costs a timer until it
// runs out.
//
// Threads: one at a time.
#pragma once

#include <boost/asio/awaitable.hpp>
#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <set>

#include "base/bytes.h"

namespace wrackline {

class Replica;

class News {
 public:
  explicit News(Replica& replica) : replica_(replica) {}  // The replica outlives it.

  // A connection's place to wait at; it outlives its waiting.
  class Waiter {
   public:
    explicit Waiter(boost::asio::any_io_executor executor) : timer_(std::move(executor)) {}
    void wake() { timer_.cancel(); }

   private:
    friend class News;
    boost::asio::steady_timer timer_;
  };

  // Returns when the hub holds something else than `request` (a NewsRequest) says, when the waiter is woken, or when it has
  // waited for `at_most`; at once for a request that cannot be read.
  boost::asio::awaitable<void> wait(Waiter& waiter, ByteView request, std::chrono::seconds at_most);

  // Looks what the hub holds, and wakes those for whom that is news.
  void look();

 private:
  Replica& replica_;
  Bytes mark_;  // Of what the hub held at the last look; empty before the first.
  std::set<Waiter*> waiting_;
};

}  // namespace wrackline
