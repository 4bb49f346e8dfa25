// The thread that works for the hub: all that reads or writes its records, one piece of work after the other. The network's
// thread goes on meanwhile, so that a long piece keeps nobody from connecting, from being answered about the hub's health, or
// from being told to wait.
//
// Threads: run() and busy_for() may be called from any.
#pragma once

#include <atomic>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <chrono>
#include <functional>
#include <thread>

namespace wrackline {

class Desk {
 public:
  Desk();
  Desk(const Desk&) = delete;
  Desk& operator=(const Desk&) = delete;
  ~Desk();  // Stops, as stop() does.

  // For what lives at the desk altogether.
  boost::asio::io_context& io() { return io_; }

  // Does `work` at the desk, after what was asked for before, and goes on here with what it returned. It is lent: who waits
  // keeps it.
  template <typename Outcome>
  boost::asio::awaitable<Outcome> run(const std::function<Outcome()>& work) {
    return boost::asio::co_spawn(io_, at_desk(*this, work), boost::asio::use_awaitable);
  }

  // How long the piece of work at hand has taken by now; zero between two.
  std::chrono::milliseconds busy_for() const;

  // Waits for the end of the piece of work at hand; no other is begun.
  void stop();

 private:
  using Clock = std::chrono::steady_clock;

  struct Busy {
    explicit Busy(Desk& at) : desk(at) { desk.begun_ = Clock::now().time_since_epoch().count(); }
    ~Busy() { desk.begun_ = 0; }
    Desk& desk;
  };
  template <typename Outcome>
  static boost::asio::awaitable<Outcome> at_desk(Desk& desk, const std::function<Outcome()>& work) {
    const Busy busy(desk);
    co_return work();
  }

  boost::asio::io_context io_{1};
  boost::asio::executor_work_guard<boost::asio::io_context::executor_type> open_;
  std::atomic<Clock::rep> begun_{0};
  std::thread thread_;
};

}  // namespace wrackline
