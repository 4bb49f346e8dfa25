// This file keeps those who wait to hear that the hub holds something new (POST /v1/news).
//
// A device says what it knows the hub to hold by the mark of its vector; while that is what the hub holds, its request
// waits. Nothing of the news is in the answer: an exchange brings it. Somebody who is not heard of again costs a timer until it
// runs out.
//
// Threads: look() at the desk, all else on the network's thread.
#pragma once

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <set>

#include "base/bytes.h"
#include "desk.h"

namespace wrackline {

class Replica;

class News {
 public:
  // All outlive it. `io` is the network's.
  News(Replica& replica, Desk& desk, boost::asio::io_context& io) : replica_(replica), desk_(desk), io_(io) {}

  // A connection's place to wait at; it outlives its waiting.
  class Waiter {
   public:
    explicit Waiter(boost::asio::any_io_executor executor) : timer_(std::move(executor)) {}
    // For good: it waits no more.
    void end() {
      has_ended_ = true;
      wake();
    }

   private:
    friend class News;
    void wake() { timer_.cancel(); }
    boost::asio::steady_timer timer_;
    bool has_ended_ = false;
  };

  // Returns when the hub holds something else than `request` (a NewsRequest) says, when the waiter is ended, or when it has
  // waited for `at_most`; at once for a request that cannot be read.
  boost::asio::awaitable<void> wait(Waiter& waiter, ByteView request, std::chrono::seconds at_most);

  // At the desk: looks what the hub holds, and wakes those for whom that is news.
  void look();

 private:
  void hear(Bytes mark);
  Replica& replica_;
  Desk& desk_;
  boost::asio::io_context& io_;
  Bytes seen_;  // At the desk: of what the hub held at the last look; empty before the first.
  Bytes mark_;  // The same, as far as the network's thread has heard.
  std::set<Waiter*> waiting_;
};

}  // namespace wrackline
