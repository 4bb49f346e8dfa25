#include "log_watch.h"

#include <unistd.h>

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <chrono>

#include "hub.h"
#include "postgres_log.h"

namespace wrackline {
namespace {

namespace net = boost::asio;
constexpr auto kAwaitHint = net::as_tuple(net::use_awaitable);
constexpr std::chrono::seconds kLookEvery{1};

}  // namespace

void LogWatch::stop() {
  stopping_ = true;
  boost::system::error_code ignored;
  descriptor_.close(ignored);
  timer_.cancel();
}

void LogWatch::follow_connection() {
  if (log_.socket() < 0 || connection_ == log_.connections()) return;
  connection_ = log_.connections();
  boost::system::error_code ignored;
  descriptor_.close(ignored);
  const int duplicate = ::dup(log_.socket());
  if (duplicate < 0) return;
  descriptor_.assign(duplicate, ignored);
  net::co_spawn(io_, listen(), net::detached);
}

net::awaitable<void> LogWatch::listen() {
  const std::uint64_t of = connection_;
  for (;;) {
    auto [error] = co_await descriptor_.async_wait(net::posix::stream_descriptor::wait_read, kAwaitHint);
    if (error || stopping_ || of != log_.connections()) co_return;
    const bool has_come = log_.take_hint();
    if (log_.socket() < 0) co_return;  // The connection is gone; the next look makes another.
    if (has_come) static_cast<void>(hub_.catch_up());
  }
}

net::awaitable<void> LogWatch::run() {
  while (!stopping_) {
    follow_connection();
    timer_.expires_after(kLookEvery);
    auto [error] = co_await timer_.async_wait(kAwaitHint);
    if (error || stopping_) co_return;
    static_cast<void>(hub_.catch_up());  // A failure stands in the log.
  }
}

}  // namespace wrackline
